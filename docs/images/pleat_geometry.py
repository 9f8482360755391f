# SPDX-License-Identifier: BSL-1.0
"""Draws the two shapes of pleat to scale. Run from the project's root: python3 docs/images/pleat_geometry.py

One pack of each shape with the same pitch, depth, thickness and fold radius (invented). What is drawn follows the
equations of pleat_geometry: gaps, slant and thickness along the face are computed, not sketched.
"""
import math
import pathlib

PITCH, DEPTH, THICKNESS, RADIUS = 14.0, 40.0, 1.2, 0.9   # mm
SCALE = 8.0                                              # px a mm
MARGIN_X, TOP, HEIGHT, PANEL = 13.0, 8.0, 2.5 * PITCH, 68.0   # mm
BLUE, ORANGE, GREY, DARK = "#cfe3f3", "#f8d9c0", "#9a9a9a", "#222222"

out = []


def px(x, y):
    return f"{SCALE * x:.2f},{SCALE * y:.2f}"


def line(x1, y1, x2, y2, colour=DARK, width=1.2, extra=""):
    a, b = px(x1, y1).split(","), px(x2, y2).split(",")
    out.append(f'<line x1="{a[0]}" y1="{a[1]}" x2="{b[0]}" y2="{b[1]}" stroke="{colour}" '
               f'stroke-width="{width}" {extra}/>')


def text(x, y, words, anchor="middle", size=15, italic=False, colour=DARK):
    a = px(x, y).split(",")
    style = ' font-style="italic"' if italic else ""
    out.append(f'<text x="{a[0]}" y="{a[1]}" text-anchor="{anchor}" font-size="{size}" '
               f'fill="{colour}"{style}>{words}</text>')


def measure(x1, y1, x2, y2, words, dx=0.0, dy=0.0, anchor="middle"):
    """A dimension: a line with arrow heads at both ends and its letters."""
    line(x1, y1, x2, y2, DARK, 1.1, 'marker-start="url(#head)" marker-end="url(#head)"')
    text((x1 + x2) / 2 + dx, (y1 + y2) / 2 + dy, words, anchor, 15, True)


def flow(x1, y1, x2, y2, width=2.2):
    line(x1, y1, x2, y2, "#0072B2", width, 'marker-end="url(#flow)"')


def half_width(x, mouth, tip):
    return 0.5 * (mouth + (tip - mouth) * x / DEPTH)


def panel(left, title, mouth, tip, along_face, letters):
    """Inlet channels are centred at y = TOP + (i + 1/2) pitch; outlet channels half a pitch lower."""
    out.append(f'<g transform="translate({SCALE * left:.1f},0)">')
    text(MARGIN_X + DEPTH / 2, 3.5, title, size=17)
    bottom = TOP + HEIGHT
    out.append(f'<clipPath id="clip{left:.0f}"><rect x="0" y="{SCALE * TOP:.1f}" width="{SCALE * PANEL:.1f}" '
               f'height="{SCALE * HEIGHT:.1f}"/></clipPath><g clip-path="url(#clip{left:.0f})">')
    x0, x1 = MARGIN_X, MARGIN_X + DEPTH
    for i in range(-1, 4):
        y = TOP + (i + 0.5) * PITCH
        for centre, near, far, colour in ((y, mouth, tip, BLUE), (y + PITCH / 2, tip, mouth, ORANGE)):
            a, b = 0.5 * near, 0.5 * far
            out.append(f'<polygon points="{px(x0, centre - a)} {px(x1, centre - b)} {px(x1, centre + b)} '
                       f'{px(x0, centre + a)}" fill="{colour}"/>')
    # The medium: one line of its thickness, walls straight, folds rounded to the inner radius.
    bend = RADIUS + THICKNESS / 2
    path = []
    for i in range(-1, 4):
        y = TOP + (i + 0.5) * PITCH
        near, far = 0.5 * (mouth + along_face), 0.5 * (tip + along_face)
        upper0, upper1, lower1, lower0 = y - near, y - far, y + far, y + near
        path.append(f"{'M' if not path else 'L'} {px(x0, upper0)} L {px(x1, upper1)}")
        for x, a, b, side in ((x1, upper1, lower1, 1), (x0, lower0, lower0 + tip + along_face, -1)):
            sweep = 1 if side == 1 else 0
            r = min(bend, (b - a) / 2)
            arc = f"A {SCALE * r:.2f} {SCALE * r:.2f} 0 0 {sweep}"
            path.append(f"{arc} {px(x + side * r, a + r)} L {px(x + side * r, b - r)} {arc} {px(x, b)}")
            if x == x1:
                path.append(f"L {px(x0, lower0)}")
    out.append(f'<path d="{" ".join(path)}" fill="none" stroke="{GREY}" stroke-width="{SCALE * THICKNESS:.2f}"/></g>')

    y = TOP + 0.5 * PITCH          # the first inlet channel
    below = y + PITCH / 2          # the outlet channel under it
    for centre in (y, y + PITCH):
        flow(x0 - 9, centre, x0 - 2.5, centre)
    for centre in (below, below + PITCH):
        flow(x1 + 2.5, centre, x1 + 9, centre)
    for x in (0.3, 0.55, 0.8):
        at = MARGIN_X + x * DEPTH
        wall = y + PITCH + half_width(x * DEPTH, mouth, tip)
        flow(at, wall - 0.6, at, wall + along_face + 0.9, 1.6)

    # Dimensions.
    measure(x0, bottom + 2.2, x1, bottom + 2.2, "L", dy=-0.5)
    for x in (x0, x1):
        line(x, bottom - 1.0, x, bottom + 3.0, DARK, 0.7, 'stroke-dasharray="3 3"')
    inset = 3.0 if mouth == tip else 0.4   # of a triangular pleat at the mouth itself
    xm = x0 + inset
    half = half_width(inset, mouth, tip)
    measure(xm, y - half, xm, y + half, letters[0], dx=0.9, dy=0.6, anchor="start")
    if letters[1]:
        xt = x1 - 0.05
        line(xt, y - tip / 2, x1 + 6.0, y - tip / 2, DARK, 0.7)
        line(xt, y + tip / 2, x1 + 6.0, y + tip / 2, DARK, 0.7)
        text(x1 + 6.6, y + 0.6, letters[1], "start", 15, True)
    xo = x1 - inset
    measure(xo, below - half, xo, below + half, letters[2], dx=-0.9, dy=0.6, anchor="end")
    top_edge, low_edge = y - half_width(0, mouth, tip), y + PITCH - half_width(0, mouth, tip)
    xp = x0 - 10.6
    measure(xp, top_edge, xp, low_edge, "p", dx=-0.8, dy=0.5, anchor="end")
    for edge in (top_edge, low_edge):
        line(xp - 0.6, edge, x0, edge, DARK, 0.7, 'stroke-dasharray="3 3"')
    # The thickness, square to the wall, half way down the second inlet channel's upper wall.
    at = 0.42 * DEPTH
    slope = (tip - mouth) / (2 * DEPTH)
    cosine = 1 / math.hypot(1, slope)
    wall = y + PITCH - half_width(at, mouth, tip)
    nx, ny = -(-slope) * cosine, cosine
    # Outside faces of the medium: one arrow from each side.
    inner = (MARGIN_X + at, wall)
    outer = (inner[0] + slope * cosine * -THICKNESS, inner[1] - ny * THICKNESS)
    for (ax, ay), sign in ((inner, 1), (outer, -1)):
        line(ax + sign * 2.4 * slope * cosine, ay + sign * 2.4 * ny, ax, ay, DARK, 1.1, 'marker-end="url(#head)"')
    text(inner[0] + 0.9, inner[1] + 2.6, "t", "start", 15, True)
    out.append("</g>")


def h(index):
    return f'h<tspan dy="4" font-size="11">{index}</tspan>'


gap = PITCH / 2 - THICKNESS
panel(0.0, "rectangular: gaps the same from mouth to end", gap, gap, THICKNESS, (h("1"), "", h("2")))
tip = 2 * RADIUS
open_width, slant = PITCH - 2 * tip, (THICKNESS / DEPTH) ** 2
taper = (open_width ** 2 - 4 * THICKNESS ** 2) / (
    open_width + math.sqrt(slant * open_width ** 2 + 4 * THICKNESS ** 2 * (1 - slant)))
along_face = THICKNESS * math.hypot(1, taper / (2 * DEPTH))
assert abs(2 * tip + taper + 2 * along_face - PITCH) < 1e-9
panel(PANEL, "triangular: gaps narrow from mouth to tip", tip + taper, tip, along_face, (h("0"), "2 r", h("0")))

width, height = SCALE * (2 * PANEL), SCALE * (TOP + HEIGHT + 6.5)
text(PANEL, TOP + HEIGHT + 5.4, f"to scale: p {PITCH:g} mm, L {DEPTH:g} mm, t {THICKNESS:g} mm, "
     f"fold radius r {RADIUS:g} mm; blue inlet, orange outlet channels", size=14)
body = "\n".join(out)
pathlib.Path("docs/images/pleat_geometry.svg").write_text(f'''<svg xmlns="http://www.w3.org/2000/svg"
  width="{width:.0f}" height="{height:.0f}" viewBox="0 0 {width:.0f} {height:.0f}" font-family="sans-serif">
<title>Rectangular and triangular pleats, drawn to scale</title>
<defs>
<marker id="head" viewBox="0 0 10 10" refX="9.5" refY="5" markerWidth="7" markerHeight="7"
  orient="auto-start-reverse"><path d="M0,1.5 L10,5 L0,8.5 z" fill="{DARK}"/></marker>
<marker id="flow" viewBox="0 0 10 10" refX="8" refY="5" markerWidth="5" markerHeight="5"
  orient="auto"><path d="M0,0 L10,5 L0,10 z" fill="#0072B2"/></marker>
</defs>
<rect width="100%" height="100%" fill="#ffffff"/>
{body}
</svg>
''', encoding="utf-8")
