"""Line silhouettes of furniture forms, drawn from our own geometry and painted with finish colours."""

from app.web.silhouettes.drawing import (
    FORMS,
    Drawing,
    DrawnPart,
    paintable_parts,
    silhouette,
)

__all__ = ["FORMS", "Drawing", "DrawnPart", "paintable_parts", "silhouette"]
