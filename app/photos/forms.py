"""The form that takes photos in."""

from werkzeug.datastructures import FileStorage
from wtforms import MultipleFileField

from app.photos.rules import kept_name
from app.web.forms import Form

ACCEPTED = "image/jpeg,image/png,image/webp"


class PhotosForm(Form):
    photos = MultipleFileField(
        "Choose photos",
        description="JPEG, PNG or WebP, up to 25 MB each and 20 at a time.",
        render_kw={"accept": ACCEPTED},
    )

    @property
    def chosen(self) -> list[FileStorage]:
        """The files that were chosen; an empty box sends one without a name."""
        return [upload for upload in self.photos.data or [] if upload and upload.filename]

    def refuse_photo(self, upload: FileStorage, message: str) -> None:
        """Say of one file, by its name, why it was not taken."""
        self.form_errors.append(f"{kept_name(upload.filename or '')}: {message}")
        self.photos.errors = ["Not every photo was saved; those that were not are named above."]

    def refuse_nothing(self) -> None:
        """Ask for a file when none was chosen."""
        self.photos.errors = ["Choose at least one photo first."]
