"""Pictures of the parts as written: triangles of the STL files, shaded, as PNG.

    python -m wheelcad.packet.pictures outputs/tarn-six wheelcad/packet/pictures

writes a picture of each part, and of wheel and bracket as they stand to each other, into the second folder.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from wheelcad.files.stl import read_stl
from wheelcad.packet.raster import Eye, Floats, shaded

FINER = 3  # pixels are worked out this many times finer each way, then averaged
SHADES = 64  # grey levels kept: more cannot be told apart in print
VIEWS = {
    "wheel": Eye(-28.0, 22.0),
    "blank": Eye(-40.0, 22.0),
    "gauge": Eye(-28.0, 22.0),
    "adapter": Eye(-40.0, 25.0),
    "bracket": Eye(-35.0, 30.0),
    "fitted": Eye(-35.0, 25.0),
}
GREYS = {"wheel": 0.97, "bracket": 0.80}
FITTED = ("wheel", "bracket")  # both lie in the engine's frame at top dead centre of cylinder 1


def part_picture(
    triangles: Floats | Sequence[Floats], size_px: int, view: Eye | str = "wheel", greys: Sequence[float] = (0.97,)
) -> bytes:
    """A square picture, `size_px` wide, as PNG with a white ground.

    triangles: (n, 3, 3) in mm, or several such parts, with a grey each (the last one for the rest); view: an Eye or
    the name of a usual one. ValueError when there is nothing to see.
    """
    from PIL import Image

    parts = [triangles] if isinstance(triangles, np.ndarray) else list(triangles)
    tones = [np.full(len(part), greys[min(k, len(greys) - 1)]) for k, part in enumerate(parts)]
    eye = VIEWS[view] if isinstance(view, str) else view
    fine = shaded(np.concatenate(parts), np.concatenate(tones), size_px * FINER, size_px * FINER, eye)
    mean = fine.reshape(size_px, FINER, size_px, FINER).mean(axis=(1, 3))
    levels = np.round(np.round(mean * (SHADES - 1)) * (255 / (SHADES - 1))).astype(np.uint8)
    held = io.BytesIO()
    Image.fromarray(levels).save(held, format="PNG", optimize=True)
    return held.getvalue()


def fitted_picture(folder: Path, size_px: int) -> bytes | None:
    """Wheel and bracket of a folder of outputs as they stand on the engine; None when the wheel is not there."""
    parts = {name: folder / f"{name}.stl" for name in FITTED if (folder / f"{name}.stl").exists()}
    if "wheel" not in parts:
        return None
    greys = [GREYS[name] for name in parts]
    return part_picture([read_stl(path) for path in parts.values()], size_px, "fitted", greys)


def pictures_of(folder: Path, size_px: int) -> Mapping[str, bytes]:
    """A picture of each part with an STL file in a folder of outputs, by name; and `fitted` where there are several."""
    made = {
        name: part_picture(read_stl(folder / f"{name}.stl"), size_px, eye)
        for name, eye in VIEWS.items()
        if (folder / f"{name}.stl").exists()
    }
    fitted = fitted_picture(folder, size_px) if "bracket" in made else None
    return made if fitted is None else {**made, "fitted": fitted}


def write_pictures(folder: Path, into: Path, size_px: int = 480) -> list[Path]:
    """Write the pictures of a folder of outputs as PNG files into another folder; the paths written."""
    into.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, data in pictures_of(folder, size_px).items():
        paths.append(into / f"{folder.resolve().name}-{name}.png")
        paths[-1].write_bytes(data)
    return paths


if __name__ == "__main__":
    import sys

    if len(sys.argv) != 3:
        sys.exit("usage: python -m wheelcad.packet.pictures OUTPUT_FOLDER PICTURE_FOLDER")
    written = write_pictures(Path(sys.argv[1]), Path(sys.argv[2]))
    if not written:
        sys.exit(f"{sys.argv[1]} holds no STL file: build the job first")
    for path in written:
        print(path)
