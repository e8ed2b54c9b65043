"""Pictures of what a build wrote, as PNG: the triangles of the STL files, shaded, and the first pages of PDF files.

    python -m wheelcad.packet.pictures outputs/tarn-six wheelcad/packet/shown fitted wheel gauge wheel-drawing

writes these pictures into the second folder; without names, one of every part, of wheel and bracket as they stand to
each other (`fitted`), and of every drawing.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.files.glb_reader import read_glb
from wheelcad.files.stl import read_stl
from wheelcad.packet.raster import Viewpoint, shaded

FINER = 3  # pixels are worked out this many times finer each way, then averaged
SHADES = 64  # grey levels kept: more cannot be told apart in print
VIEWS = {
    "wheel": Viewpoint(-28.0, 22.0),
    "blank": Viewpoint(-40.0, 22.0),
    "gauge": Viewpoint(-28.0, 22.0),
    "adapter": Viewpoint(-40.0, 25.0),
    "bracket": Viewpoint(-35.0, 30.0),
    "fitted": Viewpoint(-35.0, 25.0),
}
GREYS = {"wheel": 0.97, "bracket": 0.80}
DARK_PART, LIGHT_PART = 0.6, 0.97  # greys of the darkest and the lightest part: darker would hide edges in print
LUMINANCE = (0.2126, 0.7152, 0.0722)  # ITU-R BT.709
STANDING_PX = 600  # 200 dots an inch on the packet's cover
FITTED = ("wheel", "bracket")  # both lie in the engine's frame at top dead centre of cylinder 1


def part_picture(
    triangles: Floats | Sequence[Floats],
    size_px: int,
    view: Viewpoint | str = "wheel",
    greys: Sequence[float] = (0.97,),
) -> bytes:
    """A square picture, `size_px` wide, as PNG with a white ground.

    triangles: (n, 3, 3) in mm, or several such parts, with a grey each (the last one for the rest); view: where from,
    or the name of a usual one. ValueError when there is nothing to see.
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
    """The parts of a folder of outputs as they stand on the engine: its assembly, or wheel and bracket where there is
    none; None when not even the wheel is there."""
    if (folder / "assembly.glb").exists():
        meshes = read_glb(folder / "assembly.glb")
        bright = [float(np.dot(LUMINANCE, mesh.colour)) for mesh in meshes]
        tones = np.interp(bright, [min(bright), max(bright)], [DARK_PART, LIGHT_PART]).tolist()
        return part_picture([mesh.points[mesh.triangles] for mesh in meshes], size_px, "fitted", tones)
    parts = {name: folder / f"{name}.stl" for name in FITTED if (folder / f"{name}.stl").exists()}
    if "wheel" not in parts:
        return None
    greys = [GREYS[name] for name in parts]
    return part_picture([read_stl(path) for path in parts.values()], size_px, "fitted", greys)


def standing_picture(folder: Path) -> bytes | None:
    """The `fitted_picture` that the packet's cover and the start page share."""
    return fitted_picture(folder, STANDING_PX)


def page_picture(pdf: Path, width_px: int) -> bytes:
    """The first page of a PDF file as a PNG of that width."""
    import pypdfium2

    document = pypdfium2.PdfDocument(str(pdf))
    try:
        page = document[0]
        image = page.render(scale=width_px / page.get_width(), grayscale=True).to_pil()
        held = io.BytesIO()
        image.quantize(SHADES // 4).save(held, format="PNG", optimize=True)
    finally:
        document.close()
    return held.getvalue()


def pictures_of(folder: Path, size_px: int, names: Sequence[str] = ()) -> Mapping[str, bytes]:
    """Pictures of a folder of outputs by name, those asked for or all: each part with an STL file, `fitted` where there
    is a bracket, and each drawing, twice as wide as the parts."""
    made = {}
    for name, eye in VIEWS.items():
        if (folder / f"{name}.stl").exists() and (not names or name in names):
            made[name] = part_picture(read_stl(folder / f"{name}.stl"), size_px, eye)
    if (folder / "bracket.stl").exists() and (not names or "fitted" in names):
        fitted = fitted_picture(folder, size_px)
        made |= {} if fitted is None else {"fitted": fitted}
    for drawing in sorted(folder.glob("*-drawing.pdf")):
        if not names or drawing.stem in names:
            made[drawing.stem] = page_picture(drawing, 2 * size_px)
    return made


def write_pictures(folder: Path, into: Path, size_px: int = 480, names: Sequence[str] = ()) -> list[Path]:
    """Write the pictures of a folder of outputs as PNG files into another folder; the paths written."""
    into.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, data in pictures_of(folder, size_px, names).items():
        paths.append(into / f"{folder.resolve().name}-{name}.png")
        paths[-1].write_bytes(data)
    return paths


if __name__ == "__main__":
    import sys

    if len(sys.argv) < 3:
        sys.exit("usage: python -m wheelcad.packet.pictures OUTPUT_FOLDER PICTURE_FOLDER [NAME ...]")
    written = write_pictures(Path(sys.argv[1]), Path(sys.argv[2]), names=sys.argv[3:])
    if not written:
        sys.exit(f"{sys.argv[1]} holds nothing to draw by that name: build the job first")
    for path in written:
        print(path)
