"""A scene as PNG on a transparent ground, with its words in the file."""

from __future__ import annotations

from io import BytesIO
from typing import Final

from PIL import Image, ImageDraw
from PIL.PngImagePlugin import PngInfo

from kitbuild.base.scene import Scene

#: Pixels of the longer side.
LONGER_SIDE: Final = 1600
#: Drawn so many times larger, then made smaller, for smooth edges.
FINER: Final = 2


def render_png(scene: Scene) -> bytes:
    """The bytes of `scene`, 1600 pixels on its longer side; its words are the chunk `Description`."""
    scale = LONGER_SIDE / max(scene.width_mm, scene.height_mm)
    size = tuple(max(1, round(side * scale)) for side in (scene.width_mm, scene.height_mm))
    image = Image.new("RGBA", (size[0] * FINER, size[1] * FINER))
    pen = ImageDraw.Draw(image)
    corners = (scene.quads * (scale * FINER)).reshape(-1, 8).tolist()
    for quad, rgb in zip(corners, scene.rgb.tolist(), strict=True):
        pen.polygon(quad, fill=(*rgb, 255))
    words = PngInfo()
    words.add_itxt("Description", scene.alt, lang=scene.language)
    target = BytesIO()
    per_inch = scale * 25.4  # so that the file tells its size in mm as well
    small = image.resize((size[0], size[1]), Image.Resampling.BOX)
    small.save(target, "PNG", pnginfo=words, dpi=(per_inch, per_inch))
    return target.getvalue()
