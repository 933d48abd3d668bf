"""The picture with its marks as a PNG: the same figure as on screen, drawn with Pillow.

The pixels are written anew, so nothing of the original file travels along: no place, no
capture time, no serial number, no file name. The original is never written to.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from landmarks.errors import PictureError
from landmarks.figures import (
    Again,
    Dot,
    Figure,
    FrameBox,
    Line,
    Lozenge,
    Outline,
    Quad,
    Ticks,
)
from landmarks.outputs.painted_marks import (
    draw_again,
    draw_dot,
    draw_line,
    draw_lozenge,
    draw_outline,
    draw_quad,
    draw_ticks,
)
from landmarks.outputs.painted_plates import (
    draw_frame,
    draw_names,
    draw_plate,
    draw_scale_bar,
    label_rect,
)
from landmarks.outputs.pen import Pen
from landmarks.outputs.plates import crowded_series
from landmarks.picture import upright
from landmarks.sentences import text

if TYPE_CHECKING:
    from PIL.Image import Image

USUAL_WIDTH_PX = 1600


def annotated(
    picture_path: Path,
    figure: Figure,
    width_px: int = USUAL_WIDTH_PX,
    font: Path | None = None,
) -> Image:
    """Return the upright picture with all marks and a true scale bar, as RGB.

    Parameters
    ----------
    width_px
        Width of the result; marks grow with it above 1600 px.
    font
        A TrueType file for names and numbers; without it Pillow's own.

    Raises
    ------
    PictureError
        If the picture cannot be opened, or has not the size that the figure was made for.
    """
    from PIL import Image

    whole = upright(picture_path)
    if whole.size != (figure.width, figure.height):
        raise PictureError("picture.other_content", file=picture_path.name)
    width = max(1, width_px)
    share = width / figure.width
    size = (width, max(1, round(figure.height * share)))
    small = _in_srgb(whole.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0))
    pen = Pen(small.convert("RGBA"), share, max(1.0, width / USUAL_WIDTH_PX), font)
    _draw_figure(pen, figure)
    out = Image.new("RGB", size)  # A new picture: nothing hangs on from the original.
    out.paste(pen.image.convert("RGB"))
    return out


def write_png(
    picture_path: Path,
    figure: Figure,
    target: Path,
    width_px: int = USUAL_WIDTH_PX,
    font: Path | None = None,
) -> None:
    """Write the annotated picture, under another name first, so that no half file is left.

    Raises
    ------
    PictureError
        If the picture cannot be opened, the target is the picture itself, or cannot be
        written.
    """
    if target.exists() and target.samefile(picture_path):
        raise PictureError("output.is_original", file=target.name)
    image = annotated(picture_path, figure, width_px, font)
    part = target.with_name(f".{uuid4().hex}.part")
    try:
        image.save(part, "PNG")
        part.replace(target)
    except OSError as fault:
        raise PictureError(
            "output.cannot_write", file=target.name, reason=fault.strerror or str(fault)
        ) from None
    finally:
        part.unlink(missing_ok=True)


def _draw_figure(pen: Pen, figure: Figure) -> None:
    """Draw lines below points, points below names."""
    small = crowded_series(figure.marks, pen.share / pen.unit)
    for mark in figure.marks:
        if isinstance(mark, FrameBox):
            draw_frame(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Outline):
            draw_outline(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Line):
            draw_line(pen, mark)
        elif isinstance(mark, Ticks):
            draw_ticks(pen, mark)
        elif isinstance(mark, Quad):
            draw_quad(pen, mark)
    for mark in figure.marks:
        if isinstance(mark, Dot):
            draw_dot(pen, mark)
        elif isinstance(mark, Again):
            draw_again(pen, mark)
        elif isinstance(mark, Lozenge):
            draw_lozenge(pen, mark, numbered=mark.landmark not in small)
    labels = [
        (label_rect(pen, figure, mark, text(mark.label)), text(mark.label))
        for mark in figure.marks
        if isinstance(mark, Line) and mark.label is not None
    ]
    draw_names(pen, figure, [rect for rect, _ in labels])
    for (left, top, width, _), words in labels:
        draw_plate(pen, (left, top), width, words)
    if figure.mm_per_px is not None:
        draw_scale_bar(pen, figure, figure.mm_per_px)


def _in_srgb(image: Image) -> Image:
    """Return the picture in sRGB, since its profile does not travel along."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    from io import BytesIO

    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        made = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image  # A profile for other channels, or a broken one, says nothing here.
    return image if made is None else made
