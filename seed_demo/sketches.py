"""Small dimensioned sketches for the demo's operations, drawn with Pillow."""

import hashlib
import io
import random

from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT = 1200, 760
INK, PAPER, FINE = "black", "white", "#555555"


def sketch(number: str, name: str) -> bytes:
    """Return a PNG of an invented part: an outline with holes and a few dimensions, the same for the same number."""
    rng = random.Random(hashlib.sha256(number.encode()).digest())
    image = Image.new("L", (WIDTH, HEIGHT), PAPER)
    draw = ImageDraw.Draw(image)
    font, small = ImageFont.load_default(34), ImageFont.load_default(26)
    left, top, right, bottom = 170, 130, 170 + rng.randrange(620, 860), 130 + rng.randrange(280, 420)
    step = rng.randrange(60, 130)
    outline = [
        (left, top),
        (right, top),
        (right, bottom),
        (left + step, bottom),
        (left + step, bottom - step),
        (left, bottom - step),
    ]
    draw.polygon(outline, outline=INK, width=4)
    for _ in range(rng.randrange(2, 5)):
        _hole(draw, rng.randrange(left + 160, right - 60), rng.randrange(top + 60, bottom - 60), rng.randrange(16, 38))
    _dimension(draw, small, (left, bottom + 50), (right, bottom + 50), f"{(right - left) / 8:.2f}")
    _dimension(draw, small, (left - 60, top), (left - 60, bottom), f"{(bottom - top) / 8:.2f}")
    _dimension(draw, small, (left, top - 50), (left + step, top - 50), f"{step / 8:.3f}")
    draw.line([(0, HEIGHT - 84), (WIDTH, HEIGHT - 84)], fill=INK, width=3)
    draw.text((30, HEIGHT - 66), f"{number}  {name}   sketch for set-up, not to scale, mm", font=font, fill=INK)
    kept = io.BytesIO()
    image.save(kept, "PNG", optimize=True)
    return kept.getvalue()


def _hole(draw: ImageDraw.ImageDraw, x: int, y: int, radius: int) -> None:
    draw.ellipse([x - radius, y - radius, x + radius, y + radius], outline=INK, width=3)
    reach = radius + 14
    draw.line([(x - reach, y), (x + reach, y)], fill=FINE)
    draw.line([(x, y - reach), (x, y + reach)], fill=FINE)


def _dimension(
    draw: ImageDraw.ImageDraw,
    font: ImageFont.FreeTypeFont | ImageFont.ImageFont,
    start: tuple[int, int],
    end: tuple[int, int],
    text: str,
) -> None:
    draw.line([start, end], fill=FINE, width=2)
    upright = start[0] == end[0]
    for x, y in (start, end):
        across = [(x - 12, y), (x + 12, y)] if upright else [(x, y - 12), (x, y + 12)]
        draw.line(across, fill=FINE, width=2)
    middle = ((start[0] + end[0]) // 2, (start[1] + end[1]) // 2)
    place = (middle[0] - 96, middle[1] - 14) if upright else (middle[0] - 34, middle[1] - 38)
    draw.text(place, text, font=font, fill=INK)
