"""The form that says what a piece will still bring."""

from app.basics.words import REASON_LIMIT
from app.reports.rules.writing_down import WHY_SO_LITTLE, NewWriteDown
from app.web.answers import AnswersForm
from app.web.forms import DayField, LineField, MoneyField, required


class WriteDownForm(AnswersForm):
    """What a piece will bring, what it takes to get there, and what that rests on."""

    price_expected = MoneyField("Price you expect", [required("Type what it will sell for; 0 if for nothing.")])
    finish = MoneyField("Still to spend on finishing it")
    sell = MoneyField("Cost of selling it")
    on_date = DayField("As of", [required("Say for which day.")])
    reason = LineField("What that rests on", [required(WHY_SO_LITTLE)], limit=REASON_LIMIT)

    @property
    def is_readable(self) -> bool:
        """Whether the amounts could be read, so that something can be worked out of them."""
        return self.price_expected.data is not None and not any(
            field.process_errors for field in (self.price_expected, self.finish, self.sell, self.on_date)
        )

    def new_write_down(self, piece_id: int) -> NewWriteDown:
        """What was typed; an empty box for a cost is nothing."""
        return NewWriteDown(
            piece_id=piece_id,
            on_date=self.on_date.data,
            price_expected_cents=self.price_expected.data,
            finish_cents=self.finish.data or 0,
            sell_cents=self.sell.data or 0,
            reason=self.reason.data,
        )
