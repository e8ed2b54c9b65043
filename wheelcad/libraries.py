"""Libraries that others wrote: how they are to behave here, and what is said of one that is not there.

One that is missing is named with the command that brings it, and is nobody's mistake: whoever imports one late lets
ImportError go by; `told` and the commands' end (`guarded`) turn it into words here.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from wheelcad.errors import Fault, LibraryError

# What is imported -> what is installed. Those of an extra are installed by the extra's name.
PACKAGES = {
    "cadquery": "cadquery",
    "OCP": "cadquery",
    "numpy": "numpy",
    "scipy": "scipy",
    "shapely": "shapely",
    "trimesh": "trimesh",
    "ezdxf": "ezdxf",
    "gmsh": "gmsh",
    "skfem": "scikit-fem",
    "lib3mf": "lib3mf",
    "matplotlib": "matplotlib",
    "reportlab": "reportlab",
    "typst": "typst",
    "pypdfium2": "pypdfium2",
    "PIL": "pillow",
    "pydantic": "pydantic",
    "ruamel": "ruamel.yaml",
    "rich": "rich",
    "skimage": "scikit-image",
    "cv2": "opencv-python-headless",
    "dask": "dask[distributed]",
    "distributed": "dask[distributed]",
    "nicegui": "nicegui",
    "segno": "segno",
    "mkdocs": "mkdocs",
}
EXTRAS = {
    "skimage": "scan",
    "cv2": "photos",
    "dask": "cluster",
    "distributed": "cluster",
    "nicegui": "page",
    "segno": "page",
    "mkdocs": "docs",
}
SYSTEM = {"libGL": "libgl1", "libgomp": "libgomp1", "libGLU": "libglu1-mesa", "libXft": "libxft2"}  # Debian's packages


CHATTER = ("ezdxf", "matplotlib")  # they complain of a HOME where they cannot keep their caches: nobody's business


def hush() -> None:
    """What libraries note of themselves goes to whoever set up a log for it, and not on a terminal."""
    import logging  # none of the chart's, which is to be quick

    for name in CHATTER:
        logging.getLogger(name).addHandler(logging.NullHandler())


def missing_words(error: ImportError) -> str:
    """Which library could not be loaded and what brings it; "" where it is none that this program asks for."""
    module = (error.name or "").split(".")[0]
    for library, package in SYSTEM.items():
        if f"{library}.so" in str(error):
            name = PACKAGES.get(module, "a library")
            return f"{name} cannot be loaded: {error} (on Debian and Ubuntu: apt-get install {package})"
    if module not in PACKAGES:
        return ""
    if not isinstance(error, ModuleNotFoundError):
        return f"{PACKAGES[module]} cannot be loaded: {error}"
    wanted = f"'wheelcad[{EXTRAS[module]}]'" if module in EXTRAS else PACKAGES[module]
    return f"needs {PACKAGES[module]}, which is not installed: pip install {wanted}"


@contextmanager
def told(what: str) -> Iterator[None]:
    """A library that is missing in here is raised as a LibraryError; what: the command or the work that needs it."""
    try:
        yield
    except ImportError as error:
        if said := missing_words(error):
            raise LibraryError(Fault(said, file=what)) from None
        raise
