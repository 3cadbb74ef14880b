"""The forms that take photos in and say what they show."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from werkzeug.datastructures import FileStorage
from wtforms import FileField, MultipleFileField, RadioField

from app.basics.errors import RuleError
from app.photos.rules import MOST_AT_ONCE, MOST_ON_PILE_AT_ONCE, SHOWS_WORDS, Shows, StoredPhoto, kept_name
from app.web.forms import Form, LineField, words_of

# Never image/*: a phone would then offer kinds that cannot be read here.
ACCEPTED = "image/jpeg,image/png,image/webp,image/heic,image/heif"
PhotoKeeper = Callable[[FileStorage], StoredPhoto]


def shows_field(label: str) -> RadioField:
    """Asks what a photo of a piece shows."""
    return RadioField(label, choices=shows_choices)


def shows_choices() -> list[tuple[str, str]]:
    """What it may show, in the order of the work."""
    return words_of(SHOWS_WORDS, SHOWS_WORDS.__getitem__)


def files_chosen(field: MultipleFileField) -> list[FileStorage]:
    """The files chosen in a box; an empty one sends a file without a name."""
    return [upload for upload in field.data or [] if isinstance(upload, FileStorage) and upload.filename]


def keep_each(uploads: Sequence[FileStorage], keep: PhotoKeeper) -> tuple[list[StoredPhoto], list[str]]:
    """Keep the photos that can be kept; and of each other one, by its name, why it was not."""
    kept, refused = [], []
    for upload in uploads:
        try:
            kept.append(keep(upload))
        except RuleError as refusal:
            refused.append(_said_of(upload, refusal.message))
    return kept, refused


def _said_of(upload: FileStorage, message: str) -> str:
    return f"{kept_name(upload.filename or '')}: {message}"


class PhotosForm(Form):
    """Photos of one piece; `most_at_once` are kept, those beyond are named and must be sent again."""

    most_at_once: ClassVar[int] = MOST_AT_ONCE

    photos = MultipleFileField(
        "Choose photos",
        description="JPEG, HEIC, PNG or WebP, up to 25 MB each.",
        render_kw={"accept": ACCEPTED},
    )
    shows = shows_field("They show the piece")

    @property
    def shown(self) -> Shows:
        """What was chosen of what they show."""
        return Shows(self.shows.data)

    @property
    def chosen(self) -> list[FileStorage]:
        """The files that were chosen."""
        return files_chosen(self.photos)

    def refuse_nothing(self) -> None:
        """Ask for a file when none was chosen."""
        self.photos.errors = ["Choose at least one photo first."]

    def keep_chosen(self, keep: PhotoKeeper) -> list[StoredPhoto]:
        """Keep the photos that can be kept, and say of the others by name why they were not."""
        if not self.chosen:
            self.refuse_nothing()
        beyond = f"Only {self.most_at_once} photos fit in one go. Send this one again."
        stored, refused = keep_each(self.chosen[: self.most_at_once], keep)
        refused += [_said_of(upload, beyond) for upload in self.chosen[self.most_at_once :]]
        if refused:
            self.form_errors += refused
            self.photos.errors = ["Not every photo was saved; those that were not are named above."]
        return stored


class DescribeForm(Form):
    shows = shows_field("It shows the piece")
    caption = LineField("Caption", description="Stands under the photo and is read out where it cannot be seen.")

    @property
    def shown(self) -> Shows:
        """What was chosen."""
        return Shows(self.shows.data)


class PileForm(PhotosForm):
    """A day's photos: one from the camera, or many from the gallery."""

    most_at_once = MOST_ON_PILE_AT_ONCE

    camera = FileField(
        "Take a photo",
        description="A photo taken here may not come into the phone's own gallery.",
        render_kw={"accept": ACCEPTED, "capture": "environment"},
    )
    photos = MultipleFileField(
        "Choose photos",
        description="JPEG, HEIC, PNG or WebP, up to 25 MB each; a whole day's at once.",
        render_kw={"accept": ACCEPTED},
    )

    @property
    def chosen(self) -> list[FileStorage]:
        """The files that were chosen, from the camera and from the gallery."""
        taken = [self.camera.data] if self.camera.data and self.camera.data.filename else []
        return [*taken, *super().chosen]
