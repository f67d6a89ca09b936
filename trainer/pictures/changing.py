"""A tool at work on a photograph: how it would look, and putting the result in its place."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from PIL import Image

from trainer.pictures import services, tool_forms
from trainer.pictures.intake import in_sizes, one_at_a_time
from trainer.pictures.models import Picture
from trainer.pictures.rights import Rights
from trainer.pictures.tools import Tool, landmarks_after


@dataclass(frozen=True)
class Offer:
    """A tool as its page shows it."""

    slug: str
    label: Promise
    help: Promise
    form: type[tool_forms.ToolForm]


OFFERS = {
    offer.slug: offer
    for offer in (
        Offer(
            "crop",
            _("Crop"),
            _("Cut away what is not needed, up to these edges, in per cent."),
            tool_forms.CropForm,
        ),
        Offer(
            "straighten",
            _("Straighten"),
            _("Turn the photograph until the ground is level."),
            tool_forms.StraightenForm,
        ),
        Offer(
            "mirror",
            _("Mirror"),
            _(
                "Turn the dog to look the other way. Markings and the near side change "
                "sides with it; say so where that matters."
            ),
            tool_forms.MirrorForm,
        ),
        Offer(
            "cover",
            _("Cover a face, number or plate"),
            _(
                "Each rectangle is filled with one colour, so that nothing under it can "
                "be guessed back. This cannot be undone."
            ),
            tool_forms.CoverForm,
        ),
    )
}


def largest_size(picture: Picture) -> tuple[int, int]:
    """Width and height of the largest file, in pixels; reads its header."""
    with picture.largest.open("rb") as file, Image.open(file) as opened:
        return opened.size


def preview(picture: Picture, tool: Tool) -> str:
    """The small photograph after the tool, as an address that holds all of it. Nothing is stored."""
    with picture.small.open("rb") as file, Image.open(file) as opened:
        shown = tool.apply(opened.convert("RGB"))
    small = in_sizes(shown, sha256="", rights=Rights()).small
    return f"data:image/jpeg;base64,{b64encode(small).decode()}"


def change(picture: Picture, tool: Tool, *, edition: int) -> None:
    """Put the photograph after the tool in its place. Raises services.Changed."""
    with one_at_a_time, picture.largest.open("rb") as file, Image.open(file) as opened:
        before = opened.convert("RGB")
        fresh = tool.apply(before)
    photograph = in_sizes(fresh, sha256=picture.sha256, rights=Rights())
    landmarks = landmarks_after(tool, picture.landmarks, before.size)
    services.replace_files(picture, photograph, landmarks, edition=edition)
