"""The forms for signing in and for setting the passphrase."""

from typing import Any

from wtforms import PasswordField
from wtforms.validators import InputRequired, ValidationError

from app.basics.words import NAME_LIMIT
from app.web.forms import Form, LineField


class SignInForm(Form):
    passphrase = PasswordField(
        "Passphrase", [InputRequired("Type the passphrase.")], render_kw={"autocomplete": "current-password"}
    )
    name = LineField("Name for this browser", limit=NAME_LIMIT, render_kw={"autocomplete": "off"})


class PairForm(Form):
    code = LineField(
        "Code",
        limit=NAME_LIMIT,
        render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"},
    )
    name = LineField("Name for this phone", limit=NAME_LIMIT, render_kw={"autocomplete": "off"})


class NewPassphraseForm(Form):
    old_passphrase: Any = PasswordField(
        "Passphrase now",
        [InputRequired("Type the passphrase you have now.")],
        render_kw={"autocomplete": "current-password"},
    )
    passphrase = PasswordField(
        "New passphrase",
        [InputRequired("Type the new passphrase.")],
        render_kw={"autocomplete": "new-password"},
    )
    again = PasswordField(
        "New passphrase again",
        [InputRequired("Type the new passphrase a second time.")],
        render_kw={"autocomplete": "new-password"},
    )

    def validate_again(self, field: Any) -> None:
        """Both must be alike: what is typed cannot be seen."""
        if field.data != self.passphrase.data:
            raise ValidationError("The two are not alike. Type the new passphrase twice.")


class FirstPassphraseForm(NewPassphraseForm):
    """The same while there is no passphrase to ask for."""

    old_passphrase = None
