"""The DXF, drawn by its library's own renderer, shows the same picture as our SVG: two writers, two readers."""

import io
from typing import Any

import ezdxf
import numpy as np
import typst
from ezdxf.addons.drawing import Frontend, RenderContext, layout, svg
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration, TextPolicy
from PIL import Image

from stockproof.dossier.dxf import drawing_dxf
from stockproof.dossier.svg import drawing_svg
from stockproof.scene import Drawing
from tests.scene.sample import yard_drawing

PPI = 100
PX_PER_MM = PPI / 25.4


def raster(picture: str, width_mm: float, height_mm: float) -> Any:
    page = f"#set page(width: {width_mm}mm, height: {height_mm}mm, margin: 0pt)\n"
    source = page + f'#image("p.svg", width: {width_mm}mm)'
    png = typst.compile({"main.typ": source.encode(), "p.svg": picture.encode()}, format="png", ppi=PPI)  # type: ignore[call-overload]
    return np.asarray(Image.open(io.BytesIO(png)).convert("L"), dtype=np.float64)


def ours(drawing: Drawing) -> Any:
    """Our sheet, cut to its frame."""
    sheet = drawing.sheet
    image = raster(drawing_svg(drawing), sheet.width_mm, sheet.height_mm)
    frame = sheet.frame
    rows = slice(round((sheet.height_mm - frame.y1) * PX_PER_MM), round((sheet.height_mm - frame.y0) * PX_PER_MM))
    return image[rows, round(frame.x0 * PX_PER_MM) : round(frame.x1 * PX_PER_MM)]


def theirs(drawing: Drawing) -> Any:
    """The layout of the DXF at 1:1; the renderer cuts the page to what is drawn, which is the frame."""
    document = ezdxf.read(io.StringIO(drawing_dxf(drawing)))
    backend = svg.SVGBackend()
    config = Configuration(background_policy=BackgroundPolicy.WHITE, text_policy=TextPolicy.IGNORE)
    Frontend(RenderContext(document), backend, config=config).draw_layout(document.layout("A3"))
    frame = drawing.sheet.frame
    page = layout.Page(frame.width, frame.height, layout.Units.mm, margins=layout.Margins.all(0))
    text = backend.get_string(page, settings=layout.Settings(fit_page=False, scale=1))
    return raster(text, frame.width, frame.height)


def inked(image: Any) -> Any:
    return image < 205  # thin lines count, tints do not


def grown(mask: Any, by: int) -> Any:
    out = mask.copy()
    for dy in range(-by, by + 1):
        for dx in range(-by, by + 1):
            out |= np.roll(np.roll(mask, dy, axis=0), dx, axis=1)
    return out


def test_lines_of_dxf_and_svg_lie_on_each_other() -> None:
    drawing = yard_drawing()
    one, other = ours(drawing), theirs(drawing)
    height, width = min(one.shape[0], other.shape[0]), min(one.shape[1], other.shape[1])
    one, other = inked(one[:height, :width]), inked(other[:height, :width])
    reach = round(0.8 * PX_PER_MM)
    # the renderer was told to leave text out, so its ink must lie on ours ...
    stray = other & ~grown(one, reach)
    assert stray.sum() < 0.002 * other.sum()
    # ... and away from text, ours must lie on its own
    missing = one & ~grown(other, reach)
    assert missing.sum() < 0.25 * one.sum()
    fence = slice(round(90 * PX_PER_MM), round(150 * PX_PER_MM)), slice(round(190 * PX_PER_MM), round(212 * PX_PER_MM))
    assert one[fence].any()
    assert other[fence].any()


def test_the_comparison_sees_a_shifted_picture() -> None:
    drawing = yard_drawing()
    one, other = inked(ours(drawing)), np.roll(inked(theirs(drawing)), round(3 * PX_PER_MM), axis=1)
    height, width = min(one.shape[0], other.shape[0]), min(one.shape[1], other.shape[1])
    one, other = one[:height, :width], other[:height, :width]
    assert (other & ~grown(one, round(0.8 * PX_PER_MM))).sum() > 0.1 * other.sum()
