"""What the mentor's pages show of dogs of the library: a photograph, a plate, or the dog's words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import TextField
from django.db.models.functions import Cast
from django.urls import reverse
from django.utils.http import urlencode

from quizzes import plates
from quizzes.drawing import builds
from quizzes.drawing.dogs import THEMES, VIEW_LABELS, conformation_of, look_of
from quizzes.drawing.kept import kept
from quizzes.drawing.sketch import Sketch
from quizzes.models import LibraryDog, Revision
from trainer.pictures.models import Picture

CLASSES_SHOWN = 12


@dataclass(frozen=True)
class Row:
    """A dog as a list shows it; photo, or light and dark, are addresses, empty where there is none."""

    dog: LibraryDog
    photo: str = ""
    light: str = ""
    dark: str = ""


def is_drawn(dog: LibraryDog) -> bool:
    return dog.breed in plates.BREEDS


def shown_ids(dogs: Iterable[LibraryDog]) -> set[str]:
    """Which photographs of these dogs may be shown, in one query; those withdrawn may not."""
    dogs = list(dogs)
    ids = {picture for dog in dogs for picture in dog.pictures.values()}
    clubs = {dog.club_id for dog in dogs}
    if not ids:
        return set()
    found = Picture.objects.cleared().filter(club__in=clubs, public_id__in=ids)
    return {str(shown) for shown in found.values_list("public_id", flat=True)}


def rows_of(dogs: Iterable[LibraryDog]) -> list[Row]:
    dogs = list(dogs)
    shown = shown_ids(dogs)
    return [row_of(dog, shown) for dog in dogs]


def row_of(dog: LibraryDog, shown: set[str]) -> Row:
    """The dog with its first photograph that may be shown, else its plate."""
    for view in VIEW_LABELS:
        picture = dog.pictures.get(view)
        if picture in shown:
            return Row(
                dog, photo=reverse("pictures:picture-file", args=[picture, "small"])
            )
    return Row(dog, **plate_addresses(dog)) if is_drawn(dog) else Row(dog)


def plate_addresses(dog: LibraryDog) -> dict[str, str]:
    """Where the plate is served for either look; another version is another address, since it is kept."""
    plate = reverse("quizzes:library-plate", args=[dog.pk])
    return {theme: f"{plate}?v={dog.version}&theme={theme}" for theme in THEMES}


def library_dogs(content, club_id: int) -> dict[int, LibraryDog]:
    """The dogs of the library that those of a class came from, by id; no query where there are none."""
    ids = {dog.library for dog in content if dog.library}
    found = LibraryDog.objects.filter(club=club_id, pk__in=ids) if ids else ()
    return {dog.pk: dog for dog in found}


def classes_with(dog: LibraryDog, user) -> list[dict]:
    """The classes that have a copy of the dog, the latest first, as rows with exercise and title."""
    mine = Revision.objects.editable_by(user).filter(exercise__club=dog.club_id)
    texts = mine.annotate(text=Cast("content", TextField()))
    found = texts.filter(text__contains=f'"library": {dog.pk},').order_by("-pk")
    rows: dict[int, dict] = {}
    for row in found.values("exercise_id", "title"):
        rows.setdefault(row["exercise_id"], row)
    return list(rows.values())[:CLASSES_SHOWN]


def photographs_of(dog: LibraryDog) -> list[dict]:
    """Each view with the photograph it has; one that was withdrawn says so."""
    shown = shown_ids([dog])
    return [
        {
            "view": view,
            "label": label,
            "picture": picture if picture in shown else "",
            "lost": bool(picture) and picture not in shown,
        }
        for view, label in VIEW_LABELS.items()
        for picture in (dog.pictures.get(view, ""),)
    ]


def plate_of(dog: LibraryDog, view: str, theme: str) -> bytes:
    """The SVG of a drawn dog in a frame of its own."""
    drawn = conformation_of(dog.breed, dog)
    form = ["library", look_of(dog.breed, dog), view, theme]
    return kept(form, lambda: plates.draw(drawn, view, theme))


def workbench_address(dog: LibraryDog) -> str:
    """The workbench with the dog on it; one that is not drawn yet as the module's breed."""
    base, own = builds.of_module(dog.module)
    breed = dog.breed if is_drawn(dog) else base or next(iter(plates.BREEDS))
    if breed != base:
        own = {}
    if not is_drawn(dog):
        dog.build = own
    query = Sketch.of_dog(breed, dog, own).query
    return f"{reverse('quizzes:workbench')}?{query}&{urlencode({'for': f'library:{dog.pk}'})}"
