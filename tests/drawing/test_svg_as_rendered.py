"""Small drawings, each of one feature, look as the renderer resvg shows them.

All pixels away from edges must agree. Where resvg leaves out what SVG 2 and CSS ask for (rem, q,
hwb(), geometry in style sheets, !important in a style attribute) there is no case here.
"""

import pytest

from corpus.drawing_compare import compared

MARKER = (
    '<marker id="m" viewBox="0 0 10 10" refX="5" refY="5" markerWidth="3" markerHeight="3" '
    'orient="{}"><path d="M0 0L10 5L0 10z" fill="red"/></marker>'
)
ANGLE = (
    '<path d="M10 80L50 20L90 80" fill="none" stroke="green" stroke-width="4" '
    'marker-start="url(#m)" marker-mid="url(#m)" marker-end="url(#m)"/>'
)
SYMBOL = '<symbol id="s" {}><rect width="20" height="20" fill="red"/>{}</symbol>'
GREEN = '<rect x="20" y="20" width="40" height="30" fill="green"/>'
OVERLAP = (
    '<rect x="10" y="20" width="50" height="50" fill="green"/>'
    '<rect x="30" y="40" width="50" height="50" fill="blue"/>'
)
FITS = [
    f"x{x}Y{y} {size}" for x in ("Min", "Mid", "Max") for y in ("Min", "Mid", "Max")
    for size in ("meet", "slice")
]  # fmt: skip


def clipped(content, attributes=""):
    return (
        f'<clipPath id="c" {attributes}>{content}</clipPath>'
        '<rect width="100" height="100" fill="green" clip-path="url(#c)"/>'
    )


def masked(content, attributes=""):
    return (
        f'<mask id="m" {attributes}>{content}</mask>'
        '<rect x="10" y="10" width="80" height="60" fill="green" mask="url(#m)"/>'
    )


def styled(sheet, body):
    return f"<style>{sheet}</style>{body}"


def gradient(attributes, kind="linear"):
    return (
        f'<{kind}Gradient id="g" {attributes}><stop stop-color="red"/>'
        f'<stop offset="1" stop-color="green"/></{kind}Gradient>'
        '<rect width="50" height="50" fill="url(#g)"/>'
    )


def stroked(data, attributes):
    return f'<path d="{data}" fill="none" stroke="green" stroke-width="10" {attributes}/>'


CASES = {
    **{f"fit {one}": f'<svg x="10" y="10" width="80" height="40" viewBox="0 0 20 20" '
       f'preserveAspectRatio="{one}"><rect width="20" height="20" fill="red"/>'
       '<circle cx="10" cy="10" r="10" fill="blue"/></svg>' for one in [*FITS, "none"]},
    # use, symbol, nested svg
    "use of an svg": '<defs><svg id="s" width="20" height="20" viewBox="0 0 10 10"><rect width="10"'
    ' height="10" fill="green"/></svg></defs><use href="#s" x="10" y="10" width="60" height="40"/>',
    "use of an svg with a place": '<svg id="s" x="5" width="20" height="20"><rect width="10" '
    'height="10" fill="green"/></svg><use href="#s" x="10" y="40"/>',
    "symbol with a size": SYMBOL.format('width="20" height="10" viewBox="0 0 20 20"', "")
    + '<use href="#s" x="10" y="10"/>',
    "use sizes a symbol": SYMBOL.format('viewBox="0 0 20 20"', "")
    + '<use href="#s" x="10" y="10" width="30" height="80"/>',
    "use sizes no shape": '<defs><rect id="r" width="20" height="20"/></defs>'
    '<use href="#r" x="10" y="10" width="90" height="90" fill="green"/>',
    # style
    "em of the own font": '<g font-size="10"><rect width="2em" height="3em" font-size="20"/></g>',
    "em in percent": '<g font-size="10"><rect width="2em" height="3em" font-size="200%"/></g>',
    "em of an em": '<g font-size="10"><g font-size="2em"><g><rect width="2em" height="3em"/></g>'
    "</g></g>",
    "em of a word": '<g font-size="large"><rect width="2em" height="3em"/></g>',
    "sheet that is no CSS": styled('rect{fill:green}</style><style type="text/foo">rect{fill:red}',
                                   '<rect width="20" height="20"/>'),
    "initial": '<g fill="green"><rect width="20" height="20" style="fill:initial"/></g>',
    "opacity that is none": '<rect width="20" height="20" fill="green" opacity="x"/>',
    "width that is none": '<path d="M10 20H50" stroke="green" stroke-width="foo"/>' + GREEN,
    "specificity": styled("rect{fill:red} .a{fill:blue} #b{fill:green} g rect{fill:orange}",
                          '<g><rect class="a" width="20" height="20"/><rect id="b" class="a" '
                          'x="30" width="20" height="20"/><rect x="60" width="9" height="9"/></g>'),
    "inherited currentColor": '<g color="green" fill="currentColor"><g color="blue">'
    '<rect width="20" height="20"/></g></g>',
    # clips and masks
    "group inside a clip": clipped('<g><rect width="30" height="30"/></g>'
                                   '<rect y="40" width="30" height="30"/>'),
    "clip on the picture": '<clipPath id="c"><rect width="30" height="30"/></clipPath>' + GREEN,
    "clip by the other rule": clipped('<path d="M50 5L79 95L3 39H97L21 95Z" clip-rule="evenodd"/>'),
    "clip of a clip": '<clipPath id="d"><rect width="30" height="30"/></clipPath>'
    + clipped('<circle cx="30" cy="30" r="20"/>', 'clip-path="url(#d)"'),
    "clip with hidden shapes": clipped('<rect width="30" height="30" visibility="hidden"/>'
                                       '<rect y="40" width="30" height="30" opacity="0"/>'),
    "box of a group": '<clipPath id="c" clipPathUnits="objectBoundingBox"><circle cx=".5" cy=".5" '
    f'r=".5"/></clipPath><g clip-path="url(#c)">{OVERLAP}</g>',
    "mask of a mask": '<mask id="n"><rect width="40" height="100" fill="#fff"/></mask>'
    + masked('<rect width="100" height="50" fill="#fff"/>', 'mask="url(#n)"'),
    "mask by alpha": masked('<rect width="50" height="50"/>', 'mask-type="alpha"'),
    "mask with a hole": masked('<rect width="99" height="99" fill="#fff"/>'
                               '<circle cx="50" cy="40" r="20"/>'),
    "mask smaller than its box": masked('<rect width="99" height="99" fill="#fff"/>',
                                        'x="0" y="0" width=".5" height="1"'),
    "clip turned around its box": clipped('<circle cx=".5" cy=".5" r=".5"/>',
        'clipPathUnits="objectBoundingBox" transform="rotate(20) scale(.8)"'),
    "clip of a clip in its own units": '<clipPath id="d"><rect width="60" height="60"/></clipPath>'
    + clipped('<rect x=".4" width=".6" height="1"/>',
              'clip-path="url(#d)" clipPathUnits="objectBoundingBox" transform="translate(9)"'),
    "clip of a clip by the box of the shape": '<clipPath id="d" clipPathUnits="objectBoundingBox">'
    '<rect width=".5" height="1"/></clipPath>' + clipped('<rect width="99" height="60"/>',
                                                         'clip-path="url(#d)"'),
    "clip moves with a copy": '<clipPath id="c"><rect width="40" height="22"/></clipPath><defs>'
    f'<g id="s">{OVERLAP}</g></defs><use href="#s" x="25" y="5" clip-path="url(#c)"/>',
    **{f"box of {what}": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" '
       f'height="1"/></clipPath><g clip-path="url(#c)">{OVERLAP}{more}</g>'
       for what, more in (("a line", '<path d="M90 5V95"/>'),
                          ("what is hidden", '<rect width="99" height="9" visibility="hidden"/>'))},
    "clip of nothing": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width="1" '
    f'height="1"/></clipPath><g clip-path="url(#c)"/>{GREEN}',
    "mask that is not turned": masked('<rect width="50" height="50" fill="#fff"/>',
                                      'transform="translate(20)"'),
    # opacity
    "symbol of opacity 0": SYMBOL.format('opacity="0"', "") + f'<use href="#s"/>{GREEN}',
    "group that fades": f'<rect width="99" height="50" fill="gold"/><g opacity=".5">{OVERLAP}</g>',
    "groups that fade": f'<g opacity=".6"><g opacity=".5">{OVERLAP}</g><rect width="40" height="30"'
    ' fill="red"/></g>',
    "fill and stroke that fade": '<rect x="20" y="20" width="50" height="50" fill="green" '
    'stroke="blue" stroke-width="16" opacity=".5"/>',
    "stroke that fades": '<rect x="20" y="20" width="50" height="50" fill="green" '
    'stroke="blue" stroke-width="16" stroke-opacity=".5"/>',
    # what is chosen
    "extension of no name": f'<switch><g requiredExtensions="">{OVERLAP}</g>{GREEN}</switch>',
    "unknown choice": f"<switch><foo/>{GREEN}</switch>",
    "foreign choice": f'<switch><foreignObject width="9" height="9"/>{GREEN}</switch>',
    "another language": f'<rect systemLanguage="fr" width="99" height="99"/>{GREEN}',
    "visible in hidden": f'<g visibility="hidden"><circle r="20"/><g visibility="visible">{GREEN}'
    "</g></g>",
    # gradients that are flat
    "gradient of no length": gradient('x1="0" x2="0"'),
    "gradient of radius 0": gradient('r="0"', "radial"),
    "gradient by another": '<linearGradient id="g" href="#h"/><radialGradient id="h"><stop '
    'stop-color="green"/></radialGradient><rect width="50" height="50" fill="url(#g)"/>',
    # edges that run over one another
    "edge and back": '<path transform="matrix(1 0 -.5 1.1 -5 6) rotate(-50.29 50 50) '
    'translate(12.69)" d="M89 37.7l-9.2 -11C80 4 91 19 71.05 89.2Q90.72 52 95.6 58V22 65.48H29z"/>',
    "curve and back": '<path d="M69 64Q69 64 92.59 39.89Z" stroke="red" stroke-width="3"/>',
    "corners on edges": '<polygon points="42 73 9 42.58 7 19.65 2.4 39 28.3 7.8 90.6 22" '
    'fill="none" stroke="green" stroke-width="10"/>',
    # strokes
    **{f"clipped miter {limit}": stroked(
        "M10 80L50 20L60 80", f'stroke-linejoin="miter-clip" stroke-miterlimit="{limit}"')
       for limit in (1, 2, 4)},
    "clipped miter of a turn back": stroked("M10 50H60H20", 'stroke-linejoin="miter-clip"'),
    "arcs joined": stroked("M10 80L50 20L60 80", 'stroke-linejoin="arcs"'),
    **{f"miter limit {limit}": stroked("M10 80L50 20L60 80", f'stroke-miterlimit="{limit}"')
       for limit in (1, 4, 10)},
    **{f"{cap} dot": stroked("M30 30z", f'stroke-linecap="{cap}"') + GREEN
       for cap in ("butt", "round", "square")},
    "dashes": stroked("M10 50H90", 'stroke-dasharray="15 5 3" stroke-dashoffset="-7"'),
    "dashes below 0": stroked("M10 50H90", 'stroke-dasharray="5 -5"'),
    "dashes that are none": stroked("M10 50H90", 'stroke-dasharray="a b"'),
    "dashes around": '<rect x="20" y="20" width="60" height="60" fill="none" stroke="green" '
    'stroke-width="8" stroke-dasharray="30 10" stroke-dashoffset="10"/>',
    "uneven stroke": '<circle transform="scale(2,1)" cx="25" cy="50" r="15" fill="none" '
    'stroke="green" stroke-width="6"/>',
    "d of none": f'<path d="none"/>{GREEN}',
    # markers
    **{f"marker at {turn}": MARKER.format(turn) + ANGLE
       for turn in ("auto", "45", "auto-start-reverse")},
    "marker on a rectangle": MARKER.format("auto") + '<rect x="20" y="20" width="40" height="40" '
    'fill="green" stroke-width="4" marker-start="url(#m)" marker-mid="url(#m)"/>',
    "marker of all paths": styled("path{marker-end:url(#m)}", MARKER.format("auto") + ANGLE),
    **{f"painted in order {order}": MARKER.format("auto") + ANGLE.replace(
        'width="4"', f'width="4" paint-order="{order}"').replace('"none"', '"gold"')
       for order in ("markers", "stroke markers", "fill markers", "stroke", "markers stroke")},
    "marker in the colour of its line": MARKER.format("auto").replace('"red"', '"context-stroke"')
    + ANGLE,
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_pattern_shows_what_the_renderer_shows(tmp_path, name):
    clip = 'clip-path="url(#c)"' if name == "clip on the picture" else ""
    path = tmp_path / "small.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" {clip}>{CASES[name]}</svg>',
        encoding="utf-8",
    )
    found = compared(path)
    assert not found.refused
    assert found.tiles
    assert found.agreeing == 1
