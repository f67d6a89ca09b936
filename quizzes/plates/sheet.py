"""Contact sheets to judge the drawings by eye: python -m quizzes.plates.sheet OUTDIR

Writes every plate as SVG, one HTML page per sheet, and a PNG of each page where a Chromium is installed.
"""

import argparse
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from math import ceil
from pathlib import Path

from . import BREEDS, FAULTS, Conformation, conformation, draw, overlay, view_box
from .engraving import noise
from .themes import THEMES

Cell = tuple[str, str]


@dataclass(frozen=True)
class Sheet:
    """A page of labelled plates: name, columns, width of a plate in pixels, its height per width, paper and ink."""

    name: str
    columns: int
    wide: int
    ratio: float
    cells: list[Cell]
    paper: str = "#fbf8ee"
    ink: str = "#1e282a"


def _row(
    dogs: Iterable[tuple[str, Conformation]],
    view: str,
    size: str = "card",
    theme: str = "light",
) -> tuple[list[Cell], float]:
    """Plates in one common frame, and the frame's height per width."""
    pairs = list(dogs)
    box = view_box([dog for _, dog in pairs], view)
    return [
        (label, draw(dog, view, theme, size, box=box)) for label, dog in pairs
    ], box[3] / box[2]


def _faulty(breed: str, views: tuple[str, ...]) -> Iterator[tuple[str, Conformation]]:
    yield "no fault", conformation(breed, seed=1)
    for code, fault in FAULTS.items():
        if fault.view in views:
            for word, strength in (("mild", 0.5), ("marked", 1.0)):
                yield (
                    f"{code} {fault.name}, {word}",
                    conformation(breed, {code: strength}, seed=1),
                )


def fault_sheets() -> Iterator[Sheet]:
    """All faults, mild and marked, on the neutral smooth dog and on the rough one."""
    for breed in ("unnamed-dog", "marlefell-drover"):
        for view, shown, wide, columns in (
            ("side", ("side",), 330, 5),
            ("head", ("head",), 420, 4),
            ("front", ("front", "top"), 190, 8),
            ("rear", ("rear",), 190, 7),
            ("top", ("top",), 420, 3),
        ):
            cells, ratio = _row(_faulty(breed, shown), view)
            yield Sheet(f"faults-{view}-{breed}", columns, wide, ratio, cells)


def breed_sheets() -> Iterator[Sheet]:
    """All breeds in all views, all themes, and the patterns each comes in."""
    dogs = [(breed.name, conformation(slug, seed=2)) for slug, breed in BREEDS.items()]
    for view, wide in (
        ("side", 620),
        ("front", 360),
        ("rear", 360),
        ("top", 620),
        ("head", 620),
    ):
        cells, ratio = _row(dogs, view, "large")
        yield Sheet(f"breeds-{view}", 3 if wide > 400 else 5, wide, ratio, cells)
    for theme, colours in THEMES.items():
        cells, ratio = _row(dogs, "side", "card", theme)
        yield Sheet(f"theme-{theme}", 3, 420, ratio, cells, colours.leaf, colours.ink)
    for slug, breed in BREEDS.items():
        line = [
            (
                f"seed {seed}",
                conformation(slug, seed=seed, sex="bitch" if seed % 2 else "dog"),
            )
            for seed in range(12)
        ]
        cells, ratio = _row(line, "side")
        yield Sheet(f"patterns-{breed.slug}", 4, 330, ratio, cells)


def small_sheet() -> Sheet:
    """Thumbnails as they stand on a board."""
    dogs = [
        (breed.name, conformation(slug, seed=seed))
        for slug, breed in BREEDS.items()
        for seed in range(4)
    ]
    cells, ratio = _row(dogs, "side", "thumb")
    return Sheet("thumbnails", 10, 110, ratio, cells)


def layer_sheet() -> Sheet:
    """Measuring layer, landmarks and overlays."""
    dog, other = (
        conformation("marlefell-drover", seed=1),
        conformation("marlefell-drover", {"F1": 1, "F4": 0.7}, seed=2),
    )
    felt = ["layback", "shoulder_angle", "layback_felt", "shoulder_angle_felt"]
    cells = [
        ("bone and hand", draw(dog, size="large", measures=felt)),
        ("hind leg", draw(dog, size="large", measures=["pelvis", "stifle", "hock"])),
        ("proportions", draw(dog, size="large", measures=["length", "depth"])),
        (
            "landmarks",
            draw(
                dog,
                size="large",
                landmarks=[
                    "withers",
                    "prosternum",
                    "point_of_shoulder",
                    "tuck",
                    "point_of_hock",
                ],
            ),
        ),
        (
            "mirrored",
            draw(
                conformation("marlefell-drover", seed=1, mirror=True),
                size="large",
                measures=["shoulder_angle"],
            ),
        ),
        ("overlay", overlay(dog, other)),
    ]
    return Sheet("layers", 3, 600, 0.8, cells)


def blind_sheet(breed: str, strength: float, seed: int = 5) -> tuple[Sheet, str]:
    """Unlabelled, shuffled side plates with three sound dogs among them, and the key."""
    codes = [code for code, fault in FAULTS.items() if fault.view == "side"] + [
        "",
        "",
        "",
    ]
    order = noise(len(codes), seed, 91).argsort()
    dogs, key = [], []
    for number, k in enumerate(order, start=1):
        code = codes[k]
        dogs.append(
            (str(number), conformation(breed, {code: strength} if code else {}, seed=1))
        )
        key.append(
            f"{number}\t{code or 'sound'}\t{FAULTS[code].name if code else 'sound'}"
        )
    cells, ratio = _row(dogs, "side")
    return Sheet(f"blind-{breed}-{strength:g}", 4, 320, ratio, cells), "\n".join(
        key
    ) + "\n"


def write(sheet: Sheet, folder: Path) -> Path:
    """Write the plates and the page; returns the page."""
    plates = folder / "svg"
    plates.mkdir(parents=True, exist_ok=True)
    figures = []
    for number, (label, svg) in enumerate(sheet.cells):
        name = f"{sheet.name}-{number:02}.svg"
        (plates / name).write_text(svg)
        figures.append(
            f'<figure><img src="svg/{name}" alt=""><figcaption>{escape(label)}</figcaption></figure>'
        )
    style = (
        f"body{{margin:0;background:{sheet.paper};color:{sheet.ink};font:13px sans-serif}}"
        f"main{{display:grid;grid-template-columns:repeat({sheet.columns},{sheet.wide}px)}}"
        "figure{margin:0;text-align:center}img{width:100%;display:block}figcaption{height:22px}"
    )
    page = folder / f"{sheet.name}.html"
    page.write_text(
        f"<!doctype html><meta charset=utf-8><title>{sheet.name}</title><style>{style}</style><main>{''.join(figures)}</main>"
    )
    return page


def photograph(sheet: Sheet, page: Path, browser: str) -> None:
    """A PNG of the page beside it."""
    high = ceil(len(sheet.cells) / sheet.columns) * (sheet.wide * sheet.ratio + 24)
    command = [
        browser,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-background-networking",
        "--hide-scrollbars",
    ]
    command += [
        f"--screenshot={page.with_suffix('.png')}",
        f"--window-size={sheet.columns * sheet.wide},{ceil(high)}",
    ]
    subprocess.run(
        [*command, page.resolve().as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
    )


def sheets(folder: Path) -> Iterator[Sheet]:
    """Every sheet; keys of the blind sheets are written beside them."""
    yield from fault_sheets()
    yield from breed_sheets()
    yield small_sheet()
    yield layer_sheet()
    for breed in ("unnamed-dog", "marlefell-drover"):
        for strength in (0.5, 1.0):
            sheet, key = blind_sheet(breed, strength)
            folder.mkdir(parents=True, exist_ok=True)
            (folder / f"{sheet.name}-key.txt").write_text(key)
            yield sheet


def main() -> None:
    """Write all sheets into a folder."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument(
        "--only", default="", help="only sheets whose name contains this"
    )
    given = parser.parse_args()
    browser = (
        shutil.which("chromium")
        or shutil.which("chromium-browser")
        or shutil.which("google-chrome")
    )
    for sheet in sheets(given.folder):
        if given.only in sheet.name:
            page = write(sheet, given.folder)
            if browser:
                photograph(sheet, page, browser)
            print(page)


if __name__ == "__main__":
    main()
