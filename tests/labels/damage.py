"""What happens to a label in a shop, made with seeds, and a phone that looks at it.

A label is drawn by the program at its printer's dots, laid on black cloth, damaged, and photographed as one frame of
video: 6 camera pixels a mm, turned by up to 15°, tilted by up to 8°, a little out of focus, with noise and JPEG.
One look decides; a person holds the phone there longer, so the real share is higher and the ranking the same.
"""

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from math import cos, radians, sin, tan

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import Medium
from labels.drawing.items import Code
from labels.drawing.layout import lay_out
from labels.drawing.png import label_png
from labels.drawing.qr_matrix import QUIET_MODULES

CAMERA_PX_PER_MM = 6.0
MARGIN_MM = 8.0
EDGE_PX = 20
CLOTH = 30
BLACK, WHITE = 0, 255

Square = tuple[float, float, float]  # left, top, side in mm, without the quiet zone
Rng = np.random.Generator


@dataclass(frozen=True)
class Printed:
    """A label as it came from the printer: its picture, pixels a millimetre, its codes and what they hold."""

    picture: Image.Image
    px_per_mm: float
    codes: tuple[Square, ...]
    text: str


def printed(label: Label, medium: Medium) -> Printed:
    squares = [
        (item.x, item.y, len(item.matrix) * item.module_mm)
        for item in lay_out(label, medium).items
        if isinstance(item, Code)
    ]
    picture = Image.open(BytesIO(label_png(label, medium))).convert("L")
    return Printed(picture, 1 / medium.dot_mm, tuple(squares), label.payload)


def with_one_code(label: Label, medium: Medium) -> Printed:
    """The same label with one code instead of two, of the same ink: its area is that of both together."""
    two = printed(label, medium)
    code = next(item for item in lay_out(label, medium).items if isinstance(item, Code))
    modules = len(code.matrix)
    room_mm = min(medium.label_w, medium.label_h) - 2.0
    wanted_mm = min(code.module_mm * len(two.codes) ** 0.5, room_mm / (modules + 2 * QUIET_MODULES))
    dots = round(wanted_mm / medium.dot_mm)
    left = 1.0 + QUIET_MODULES * dots * medium.dot_mm
    matrix = Image.fromarray(np.where(np.array(code.matrix), BLACK, WHITE).astype(np.uint8))
    symbol = matrix.resize((modules * dots, modules * dots), Image.Resampling.NEAREST)
    picture = Image.new("L", two.picture.size, WHITE)
    picture.paste(symbol, (round(left * two.px_per_mm), round(left * two.px_per_mm)))
    return Printed(picture, two.px_per_mm, ((left, left, modules * dots * medium.dot_mm),), label.payload)


@dataclass(frozen=True)
class Look:
    """How the phone is held: degrees of turn and tilt, and the radius in mm that the label is bent round."""

    turn_deg: float = 0.0
    tilt_deg: float = 0.0
    bent_mm: float | None = None
    along_the_tube: bool = False


Damage = Callable[[Printed, Rng], tuple[Image.Image, Look]]


def reads(label: Printed, damage: Damage, seed: int) -> bool:
    """Whether a damaged label still gives its text, and only that, in one frame."""
    rng = np.random.default_rng(seed)
    picture, look = damage(label, rng)
    frame = photographed(picture, label.px_per_mm, look, rng)
    found = zxingcpp.read_barcodes(np.asarray(frame), formats=zxingcpp.BarcodeFormat.QRCodeModel2)
    return {code.text for code in found} == {label.text}


def share_read(label: Printed, damage: Damage, trials: int, first_seed: int = 1) -> float:
    return sum(reads(label, damage, first_seed + number) for number in range(trials)) / trials


# The camera


def photographed(picture: Image.Image, px_per_mm: float, look: Look, rng: Rng) -> Image.Image:
    margin = round(MARGIN_MM * px_per_mm)
    table = Image.new("L", (picture.width + 2 * margin, picture.height + 2 * margin), CLOTH)
    curved = picture if look.bent_mm is None else _curved(picture, look, px_per_mm)
    table.paste(curved, ((table.width - curved.width) // 2, (table.height - curved.height) // 2))
    frame = _seen(table, CAMERA_PX_PER_MM / px_per_mm, look)
    frame = frame.filter(ImageFilter.GaussianBlur(0.6))
    noisy = np.asarray(frame, dtype=float) + rng.normal(0, 4, (frame.height, frame.width))
    target = BytesIO()
    Image.fromarray(noisy.clip(0, 255).astype(np.uint8)).save(target, "JPEG", quality=85)
    return Image.open(target).convert("L")


def _seen(table: Image.Image, scale: float, look: Look) -> Image.Image:
    """The table turned and tilted, drawn at the camera's scale."""
    fewer = max(1, round(0.5 / scale))  # dots of a fine printer are joined first; the camera sees none of them
    table, scale = table.reduce(fewer), scale * fewer
    width, height = table.size
    turn, distance = radians(look.turn_deg), 3.0 * max(width, height) * scale
    corners = [(-width / 2, -height / 2), (width / 2, -height / 2), (width / 2, height / 2), (-width / 2, height / 2)]
    there = []
    for x, y in corners:
        a = (x * cos(turn) - y * sin(turn)) * scale
        b = (x * sin(turn) + y * cos(turn)) * scale
        away = 1 + b * sin(radians(look.tilt_deg)) / distance
        there.append((a / away, b * cos(radians(look.tilt_deg)) / away))
    left, top = (min(side) - EDGE_PX for side in zip(*there, strict=True))
    size = [round(max(side) - min(side)) + 2 * EDGE_PX for side in zip(*there, strict=True)]
    here = [(x + width / 2, y + height / 2) for x, y in corners]
    smooth = table.filter(ImageFilter.BoxBlur(max(0.0, 0.35 * (1 / scale - 1))))
    coefficients = _perspective([(a - left, b - top) for a, b in there], here)
    return smooth.transform(size, Image.Transform.PERSPECTIVE, coefficients, Image.Resampling.BICUBIC, fillcolor=CLOTH)


def _perspective(to: list[tuple[float, float]], came_from: list[tuple[float, float]]) -> list[float]:
    rows, wanted = [], []
    for (x, y), (u, v) in zip(to, came_from, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        wanted += [u, v]
    return np.linalg.solve(np.array(rows), np.array(wanted)).tolist()


def _curved(picture: Image.Image, look: Look, px_per_mm: float) -> Image.Image:
    if not look.along_the_tube:
        return _bent(picture, look.bent_mm * px_per_mm)
    upright = _bent(picture.transpose(Image.Transpose.ROTATE_90), look.bent_mm * px_per_mm)
    return upright.transpose(Image.Transpose.ROTATE_270)


def _bent(picture: Image.Image, radius_px: float) -> Image.Image:
    """Wrapped round an upright cylinder and seen from far in front; what lies behind its edge is not seen."""
    half = min(picture.width / 2, radius_px * 1.35)
    width = int(2 * radius_px * sin(half / radius_px))
    across = (np.arange(width) - width / 2) / radius_px
    source = picture.width / 2 + radius_px * np.arcsin(across.clip(-1, 1))
    pixels = np.asarray(picture)
    return Image.fromarray(pixels[:, source.clip(0, picture.width - 1).astype(int)])


def held(rng: Rng) -> Look:
    """A phone in a hand that means to hold it straight."""
    return Look(rng.uniform(-15, 15), rng.uniform(0, 8))


# The damages


def none(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
    return label.picture, held(rng)


def blob(area_mm2: float, *, aimed: bool = True) -> Damage:
    """Resin, paint or tape of an irregular outline; aimed, its middle lies inside one of the codes."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        spot = _spot_in_a_code(label, rng) if aimed else _spot_on_the_label(label, rng)
        picture = label.picture.copy()
        outline = [(x * label.px_per_mm, y * label.px_per_mm) for x, y in _outline(spot, area_mm2, rng)]
        ImageDraw.Draw(picture).polygon(outline, fill=int(rng.choice([BLACK, 90, 170, WHITE])))
        return picture, held(rng)

    return damage


def _spot_in_a_code(label: Printed, rng: Rng) -> tuple[float, float]:
    left, top, side = label.codes[rng.integers(len(label.codes))]
    return left + rng.uniform(0, side), top + rng.uniform(0, side)


def _spot_on_the_label(label: Printed, rng: Rng) -> tuple[float, float]:
    width, height = (length / label.px_per_mm for length in label.picture.size)
    return rng.uniform(0, width), rng.uniform(0, height)


def _outline(spot: tuple[float, float], area_mm2: float, rng: Rng) -> list[tuple[float, float]]:
    """A round shape with lobes, of exactly this area."""
    angles = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    radii = 1 + sum(rng.uniform(0, 0.18) * np.cos(n * angles + rng.uniform(0, 2 * np.pi)) for n in (2, 3, 5))
    x, y = radii * np.cos(angles), radii * np.sin(angles)
    area = abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2
    grow = (area_mm2 / area) ** 0.5
    return list(zip((spot[0] + grow * x).tolist(), (spot[1] + grow * y).tolist(), strict=True))


def blurred(sigma_mm: float) -> Damage:
    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        return label.picture.filter(ImageFilter.GaussianBlur(sigma_mm * label.px_per_mm)), held(rng)

    return damage


def shaken(length_mm: float) -> Damage:
    """The hand moved along a straight line while the shutter was open."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        pixels, angle = np.asarray(label.picture, dtype=float), rng.uniform(0, np.pi)
        steps = np.linspace(-0.5, 0.5, 15) * length_mm * label.px_per_mm
        moved = [np.roll(pixels, (round(step * sin(angle)), round(step * cos(angle))), axis=(0, 1)) for step in steps]
        return Image.fromarray(np.mean(moved, axis=0).astype(np.uint8)), held(rng)

    return damage


def faded(contrast: float) -> Damage:
    """Only so much of the difference between paper and ink is left: sun, dust, a worn print head."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        middle = rng.uniform(90, 165)
        pixels = middle + (np.asarray(label.picture, dtype=float) - 127.5) * contrast
        return Image.fromarray(pixels.clip(0, 255).astype(np.uint8)), held(rng)

    return damage


def smeared(share: float) -> Damage:
    """Cured resin over a share of the label: it blurs, darkens and throws a bright spot of gloss."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        width, height = (length / label.px_per_mm for length in label.picture.size)
        cover = Image.new("L", label.picture.size, 0)
        pen, parts = ImageDraw.Draw(cover), int(rng.integers(2, 5))
        for _ in range(parts):
            spot = _spot_in_a_code(label, rng) if rng.random() < 0.7 else _spot_on_the_label(label, rng)
            outline = _outline(spot, share * width * height / parts, rng)
            pen.polygon([(x * label.px_per_mm, y * label.px_per_mm) for x, y in outline], fill=255)
        cover = cover.filter(ImageFilter.GaussianBlur(0.4 * label.px_per_mm))
        under = label.picture.filter(ImageFilter.GaussianBlur(0.25 * label.px_per_mm)).point(lambda v: 40 + 0.55 * v)
        picture = Image.composite(under, label.picture, cover)
        x, y = _spot_in_a_code(label, rng)
        gloss = Image.new("L", picture.size, 0)
        r = rng.uniform(1.5, 3.5)
        box = [(p * label.px_per_mm) for p in (x - 2 * r, y - r / 2, x + 2 * r, y + r / 2)]
        ImageDraw.Draw(gloss).ellipse(box, fill=230)
        gloss = gloss.filter(ImageFilter.GaussianBlur(0.5 * label.px_per_mm))
        return Image.composite(Image.new("L", picture.size, WHITE), picture, gloss), held(rng)

    return damage


def any_turn(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
    return label.picture, Look(rng.uniform(0, 360), rng.uniform(0, 8))


def tilted(degrees: float) -> Damage:
    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        return label.picture, Look(rng.uniform(-15, 15), degrees)

    return damage


def bent(radius_mm: float, *, along_the_tube: bool) -> Damage:
    """Stuck on a roll or tube of this radius, its long side along it or round it."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        look = Look(rng.uniform(-15, 15), rng.uniform(0, 8), bent_mm=radius_mm, along_the_tube=along_the_tube)
        return label.picture, look

    return damage


def torn(share: float) -> Damage:
    """One end of the label is gone."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        picture, (width, height) = label.picture.copy(), label.picture.size
        lost, slant = share * width, tan(radians(rng.uniform(-20, 20))) * height
        edge = [(0, 0), (lost + slant / 2, 0), (lost - slant / 2, height), (0, height)]
        if rng.random() < 0.5:
            edge = [(width - x, y) for x, y in edge]
        ImageDraw.Draw(picture).polygon(edge, fill=CLOTH)
        return picture, held(rng)

    return damage


def worn_print(missing_share: float) -> Damage:
    """A thermal print with missing dots and a white column where a dot of the head is dead."""

    def damage(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
        pixels = np.array(label.picture)
        pixels[rng.random(pixels.shape) < missing_share] = WHITE
        left, _, side = label.codes[rng.integers(len(label.codes))]
        pixels[:, int((left + rng.uniform(0, side)) * label.px_per_mm)] = WHITE
        return Image.fromarray(pixels), held(rng)

    return damage


def everything(label: Printed, rng: Rng) -> tuple[Image.Image, Look]:
    """A bad day: a blob, a smear, faded, from the side, out of focus."""
    picture = label.picture
    for step in (blob(40), smeared(0.10), faded(0.65), blurred(0.15)):
        picture, _ = step(Printed(picture, label.px_per_mm, label.codes, label.text), rng)
    return picture, Look(rng.uniform(-15, 15), 25)


DAMAGES: dict[str, Damage] = {
    "none": none,
    "blob of 60 mm² on a code": blob(60),
    "blob of 120 mm² on a code": blob(120),
    "blob of 250 mm² on a code": blob(250),
    "blob of 120 mm² anywhere": blob(120, aimed=False),
    "a fifth torn off an end": torn(0.20),
    "two fifths torn off an end": torn(0.40),
    "resin smear, 10 % of the label": smeared(0.10),
    "resin smear, 20 %": smeared(0.20),
    "resin smear, 40 %": smeared(0.40),
    "out of focus, sigma 0.2 mm": blurred(0.2),
    "out of focus, sigma 0.3 mm": blurred(0.3),
    "out of focus, sigma 0.4 mm": blurred(0.4),
    "hand shake of 1 mm": shaken(1.0),
    "contrast 30 %": faded(0.30),
    "contrast 15 %": faded(0.15),
    "contrast 8 %": faded(0.08),
    "worn print head": worn_print(0.02),
    "turned any way": any_turn,
    "seen from 45°": tilted(45),
    "seen from 60°": tilted(60),
    "on a tube of 40 mm radius, along": bent(40, along_the_tube=True),
    "on a tube of 40 mm radius, round": bent(40, along_the_tube=False),
    "on a roll of 80 mm radius, round": bent(80, along_the_tube=False),
    "everything at once": everything,
}
