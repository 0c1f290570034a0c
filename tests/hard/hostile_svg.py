"""SVG files made to hang, fill or fool a reader, by name: what is in each, and what must come."""

import gzip
import math

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="100mm" height="100mm" viewBox="0 0 100 100">'
)
RED = '<rect width="50" height="50" fill="red"/>'
PASSWORDS = '<!ENTITY a SYSTEM "file:///etc/passwd">'


def svg(body, head=HEAD):
    return f"{head}{body}</svg>".encode()


def declared(entities, body=RED, encoding="utf-8"):
    head = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE svg [{entities}]>'
    return (head + HEAD + body + "</svg>").encode(encoding)


def layers(kind, inside, deepest, count=12):
    """Each layer repeats the next ten times: 10 to the power of `count` in all."""
    return "".join(
        f'<{kind} id="l{at}">{inside.format(at + 1) * 10}</{kind}>' for at in range(count)
    ) + deepest.format(count)


def path(data, attributes=""):
    return svg(f'<path {attributes} d="M0 0{data}"/>')


def zigzag(count):
    return "".join(f"L{at * 37 % 1000 / 10} {at * 61 % 977 / 10}" for at in range(count))


def wave(count):
    return "".join(f"L{at * 100 / count:.4f} {50 + 40 * math.sin(at / 1e3):.4f}"
                   for at in range(count))  # fmt: skip


def grid(count, shape):
    return "".join(shape.format(x=at % 200 / 2, y=at // 200 % 200 / 2, c=at % 4096)
                   for at in range(count))  # fmt: skip


def rules(count, selector):
    return "".join(f"{selector.format(at)}{{fill:#{at % 4096:03x}}}\n" for at in range(count))


def styled(sheet, body):
    return svg(f"<style>{sheet}</style>{body}")


def nested(tag, count, attributes=""):
    return svg(f"<{tag} {attributes}>" * count + RED + f"</{tag}>" * count)


REFUSED = {
    # entities and other files
    "entities of entities": (
        lambda: declared(
            '<!ENTITY a0 "ha">'
            + "".join(f'<!ENTITY a{at} "{f"&a{at - 1};" * 10}">' for at in range(1, 12)),
            "<title>&a11;</title>",
        ),
        "no sound XML|entity",
    ),
    "one long entity often": (
        lambda: declared(f'<!ENTITY a "{"x" * 100_000}">', f"<title>{'&a;' * 50_000}</title>"),
        "no sound XML",
    ),
    "entity of a file": (lambda: declared(PASSWORDS, "<title>&a;</title>"), "entity 'a'"),
    "entity of a file in UTF-16": (
        lambda: declared(PASSWORDS, "<title>&a;</title>", "utf-16"),
        "entity 'a'",
    ),
    "entity of a file in UTF-16 without a mark": (
        lambda: declared(PASSWORDS, "<title>&a;</title>", "utf-16-be"),
        "entity 'a'",
    ),
    "entity of a file in UTF-32": (
        lambda: declared(PASSWORDS, "<title>&a;</title>", "utf-32"),
        "entity 'a'",
    ),
    "entity of the DTD": (
        lambda: declared('<!ENTITY % a SYSTEM "http://example.com/x"> %a;'),
        "entity 'a'",
    ),
    "copy out of another file": (lambda: svg('<use href="../o.svg#a"/>' + RED), "another file"),
    "picture in another file": (lambda: svg('<image href="/etc/passwd"/>'), "another file"),
    # circles and bombs
    "copies of copies": (
        lambda: svg(
            layers("g", '<use href="#l{}"/>', '<rect id="l{}" width="1" height="1"/>')
            + '<use href="#l0"/>'
        ),
        "more than 30000 elements",
    ),
    "copies of nothing": (
        lambda: svg(layers("g", '<use href="#l{}"/>', '<g id="l{}"/>') + '<use href="#l0"/>'),
        "more than 30000 elements",
    ),
    "copies of a tangle": (
        lambda: svg(
            f'<defs><path id="p" d="M0 0{zigzag(300)}z"/></defs>'
            + "".join(f'<use href="#p" x="{at % 50}"/>' for at in range(40_000))
        ),
        "more than 750000 points",
    ),
    "copies of a long path": (
        lambda: svg(
            f'<defs><path id="p" d="M0 0{wave(20_000)}z"/></defs>'
            + "".join(f'<use href="#p" x="{at % 50}"/>' for at in range(400))
        ),
        "more than 750000 points",
    ),
    "copy of itself": (lambda: svg('<use id="a" href="#a"/>' + RED), "itself a part of"),
    "copies of one another": (
        lambda: svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        "itself a part of",
    ),
    "symbols in one another": (
        lambda: svg(
            '<symbol id="a"><use href="#b"/></symbol><symbol id="b"><use href="#a"/></symbol>'
            '<use href="#a"/>'
        ),
        "itself a part of",
    ),
    "clip of itself": (
        lambda: svg('<clipPath id="a" clip-path="url(#a)"/>'
                    '<rect width="9" height="9" clip-path="url(#a)"/>'),
        "refers to itself",
    ),
    "clips of one another": (
        lambda: svg(
            '<clipPath id="a"><rect width="9" height="9" clip-path="url(#b)"/></clipPath>'
            '<clipPath id="b"><rect width="9" height="9" clip-path="url(#a)"/></clipPath>'
            '<rect width="9" height="9" clip-path="url(#a)"/>'
        ),
        "refers to itself",
    ),
    "chain of clips": (
        lambda: svg(
            "".join(f'<clipPath id="c{at}" clip-path="url(#c{at + 1})"><rect width="5" height="5"/>'
                    "</clipPath>" for at in range(3000))
            + '<rect width="9" height="9" clip-path="url(#c0)"/>'
        ),
        "100 deep",
    ),
    "masks of one another": (
        lambda: svg(
            '<mask id="a"><rect width="9" height="9" mask="url(#b)"/></mask>'
            '<mask id="b"><rect width="9" height="9" mask="url(#a)"/></mask>'
            '<rect width="9" height="9" mask="url(#a)"/>'
        ),
        "refers to itself",
    ),
    "mask of many by turns": (
        lambda: svg(
            '<mask id="m">'
            + "".join(f'<circle cx="{at % 100}" cy="{at // 100}" r=".4" '
                      f'fill="{("#000", "#fff")[at % 2]}"/>' for at in range(8000))
            + '</mask><rect width="100" height="100" mask="url(#m)"/>'
        ),
        "more than 30000 elements",
    ),
    "clip used often": (
        lambda: svg(
            f'<clipPath id="m">{grid(2000, """<circle cx="{x}" cy="{y}" r=".2"/>""")}</clipPath>'
            + '<rect width="100" height="100" clip-path="url(#m)"/>' * 3000
        ),
        "more than 750000 points",
    ),
    "markers without end": (
        lambda: svg(
            '<marker id="m"><rect width="1" height="1"/></marker>'
            f'<path fill="none" marker-mid="url(#m)" d="M0 0{zigzag(60_000)}"/>'
        ),
        "more than 30000 elements",
    ),
    # depth and number
    "10 000 groups deep": (lambda: nested("g", 10_000), "no sound XML"),
    "250 groups deep": (lambda: nested("g", 250), "100 deep"),
    "200 pictures deep": (lambda: nested("svg", 200), "100 deep"),
    "a million groups": (lambda: svg("<g/>" * 1_000_000), "more than 150000 elements"),
    "140 000 groups": (lambda: svg("<g/>" * 140_000), "more than 30000 elements"),
    "60 000 squares": (
        lambda: svg('<rect width="1" height="1"/>' * 60_000),
        "more than 30000 elements",
    ),
    "200 000 attributes": (
        lambda: svg("<rect " + " ".join(f'a{at}="1"' for at in range(200_000)) + "/>"),
        "more than 500 attributes",
    ),
    "half-transparent heap": (
        lambda: svg("".join(
            f'<circle cx="{at * 37 % 1000 / 10}" cy="{at * 61 % 977 / 10}" r="9" opacity=".5" '
            f'fill="#{at % 4096:03x}"/>' for at in range(3000))),
        "half-transparent shapes lie on one another",
    ),
    # long paths
    "path of 200 MB": (lambda: path("L1 1 2 2 3 3 4 4 " * 12_000_000), "more than 50 MB"),
    "path of 45 MB": (lambda: path("L1 1 2 2 3 3 4 4 " * 2_600_000), "no sound XML"),
    "path of 9 MB, and back": (lambda: path("L1 1 2 2 3 3 4 4 " * 500_000), "250000 segments"),
    "path of 9 MB": (lambda: path(wave(500_000)), "250000 segments"),
    "stroke of 9 MB": (lambda: path(wave(500_000), 'stroke="red"'), "250000 segments"),
    "polygon of 9 MB": (
        lambda: svg(f'<polygon points="{"1 2 3 4 5 6 7 8 " * 560_000}"/>'),
        "250000 segments",
    ),
    "5 million closings": (lambda: path("z" * 5_000_000), "250000 segments"),
    "2 million moves": (lambda: path("M1 1" * 2_000_000), "250000 segments"),
    "200 000 arcs": (
        lambda: path("".join(f"A{at % 9 + 1} 5 3 0 1 {at % 100} {at % 97}"
                             for at in range(200_000))),
        "more than 50000 curves, 200000 at least",
    ),
    "200 000 curves": (
        lambda: path("".join(f"C{at % 9 + 1} 5 3 90 {at % 100} {at % 97}"
                             for at in range(200_000))),
        "more than 50000 curves, 200000 at least",
    ),
    "curves on many paths": (
        lambda: svg(f'<path d="M0 0{"t1 1" * 20_000}"/>' * 10),
        "more than 750000 points, 2000000",
    ),
    "40 000 wide arcs": (
        lambda: path("".join(f"A{at % 9 + 1} 5 3 0 1 {at % 100} {at % 97}"
                             for at in range(40_000))),
        "100000 facets",
    ),
    "20 000 wide curves": (
        lambda: path("".join(f"C{at % 9 + 1}000 5 3 90000 {at % 100} {at % 97}"
                             for at in range(20_000))),
        "100000 facets",
    ),
    "short fill that crosses itself": (
        lambda: path(zigzag(4_900)),
        "crosses or touches itself",
    ),
    "arcs that cross one another": (
        lambda: path("".join(f"A{at % 9 + 1} 5 3 0 1 {at % 100} {at % 97}"
                             for at in range(10_000))),
        "crosses or touches itself",
    ),
    "fill that crosses itself": (lambda: path(zigzag(20_000)), "crosses or touches itself"),
    "lines and back": (lambda: path("L1 1 2 2 3 3 4 4 " * 50_000), "crosses or touches itself"),
    "stroke of 50 000 corners": (
        lambda: path(wave(50_000), 'fill="none" stroke="red"'),
        "750000 points",
    ),
    # numbers
    "not a number": (lambda: path("L NaN 5 5 5z"), "no number"),
    "infinity": (lambda: path("L Infinity 5 5 5z"), "no number"),
    "1e400": (lambda: path("L 1e400 5 5 5z"), "too large"),
    "1e300": (lambda: path("L 1e300 5 5 5z"), "too large"),
    "square of 1e300": (lambda: svg('<rect width="1e300" height="1e300"/>'), "too large"),
    "stroke of 1e300": (lambda: path("L5 5", 'stroke="red" stroke-width="1e300"'), "too large"),
    "stroke of 1e9": (
        lambda: path("C10 50 50 10 90 90", 'stroke="red" stroke-width="1e9"'),
        "facets",
    ),
    "arc of radius 1e-300": (lambda: path("A1e-300 1e-300 0 0 1 50 50z"), "too large"),
    "scale of infinity": (
        lambda: svg(f'<g transform="scale(1e308) scale(1e308)">{RED}</g>'),
        "too large",
    ),
    "scales that grow": (lambda: nested("g", 90, 'transform="scale(10)"'), "too large"),
    "5 million digits": (lambda: path(f"L{'9' * 5_000_000} 5 5 5z"), "too large"),
    "digits and no arc": (lambda: path(f"A{'2' * 2_000_000}!"), "no arc"),
    "digits and no length": (lambda: svg(f'<rect width="{"1" * 2_000_000}!"/>'), "no length"),
    "spaces and no length": (lambda: svg(f'<rect width="1{" " * 900_000}x y"/>'), "no length"),
    "letters and no transform": (
        lambda: svg(f'<g transform="{"a" * 8_000_000}">{RED}</g>'),
        "no transform",
    ),
    "spaces and no transform": (
        lambda: svg(f'<g transform="scale(1){" " * 900_000}!">{RED}</g>'),
        "no transform",
    ),
    "signs only": (lambda: path("+" * 2_000_000), "no number"),
    # dashes
    "dashes of 1e-9": (
        lambda: path("H100", 'stroke="red" stroke-dasharray="1e-9"'),
        "more than 10000 dashes",
    ),
    "dots of 1e-6": (
        lambda: path("H100", 'stroke="red" stroke-dasharray="0 1e-6" stroke-linecap="round"'),
        "more than 10000 dashes",
    ),
    "dashes on many paths": (
        lambda: svg('<path d="M0 0C0 100 100 0 100 100" fill="none" stroke="red" '
                    'stroke-width=".1" stroke-dasharray=".03"/>' * 50),
        "750000 points",
    ),
    # style sheets
    "rules for all": (
        lambda: styled(rules(5000, "*"), '<rect width="1" height="1"/>' * 10_000),
        "comparisons",
    ),
    "rules for what is deep": (
        lambda: styled(rules(3000, "svg g g g rect"), f"<g><g><g>{RED * 3000}</g></g></g>"),
        "comparisons",
    ),
    "rules that count": (
        lambda: styled(rules(300, "rect:nth-last-of-type({}n+1)"), RED * 3000),
        "comparisons",
    ),
    "brackets in brackets": (lambda: styled(f"rect{{fill:{'(' * 100_000}}}", RED), "40 deep"),
    "brackets in an attribute": (
        lambda: svg(f'<rect width="5" height="5" style="fill:{"(" * 100_000}"/>'),
        "40 deep",
    ),
    "not not not": (
        lambda: styled(f"{':not(' * 50_000}x{')' * 50_000}{{fill:red}}", RED),
        "40 deep",
    ),
    "5 MB of style": (lambda: styled(rules(250_000, ".c"), RED), "characters of style"),
    # files that are none
    "compressed bomb": (lambda: gzip.compress(path("L1 1 " * 9_000_000)), "compressed"),
    "nothing": (lambda: b"", "no sound XML"),
    "noise": (lambda: bytes(at * at * 7919 % 251 for at in range(100_000)), "no sound XML"),
    "cut off": (lambda: svg(RED * 1000)[:-20], "no sound XML"),
    "two files in one": (lambda: svg(RED) * 2, "no sound XML"),
    "zero bytes inside": (lambda: svg(RED).replace(b"<rect", b"<re\0ct"), "no sound XML"),
    "wrong encoding": (
        lambda: f'<?xml version="1.0" encoding="utf-8"?>{HEAD}<g id="ä"/></svg>'.encode("latin-1"),
        "no sound XML",
    ),
    "unknown encoding": (
        lambda: b'<?xml version="1.0" encoding="klingon"?>' + svg(RED),
        "no sound XML",
    ),
    "another name space": (
        lambda: b'<svg xmlns="http://example.com/"><rect width="5" height="5"/></svg>',
        "name space",
    ),
    "no shape": (lambda: svg(""), "empty"),
    "text only": (lambda: svg('<text y="9">LUCKY</text>'), "turn it into paths"),
}  # fmt: skip

READ = {
    "marker with itself": (
        lambda: svg(
            '<marker id="m"><path d="M0 0h2v2" marker-mid="url(#m)"/></marker>'
            '<path d="M0 0L5 5 9 0" fill="none" marker-mid="url(#m)"/>'
        ),
        {"#000000": 2},
    ),
    "deep selector": (
        lambda: styled("g " * 60 + "x{fill:red}" + "g " * 40 + "rect{fill:blue}",
                       "<g>" * 90 + RED * 300 + "</g>" * 90),
        {"#0000ff": 2500},
    ),
    "siblings of siblings": (
        lambda: styled("rect~" * 20 + "rect{fill:blue}", RED * 3000),
        {"#0000ff": 2500},
    ),
    "selector of 3000 parts": (lambda: styled("g " * 3000 + "{fill:blue}", RED), {"#ff0000": 2500}),
    "imported style sheets": (
        lambda: styled('@import url("../../a.css"); @import "http://example.com/b.css";', RED),
        {"#ff0000": 2500},
    ),
    "boxes of boxes": (
        lambda: svg(
            '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/>'
            "</clipPath>" + '<g clip-path="url(#c)">' * 60 + RED + "</g>" * 60
        ),
        {"#ff0000": 1250},
    ),
    "clips of clips": (
        lambda: svg(
            layers("clipPath", '<rect width="50" height="50" clip-path="url(#l{})"/>',
                   '<clipPath id="l{}"><rect width="50" height="50"/></clipPath>')
            + '<rect width="50" height="50" clip-path="url(#l0)"/>'
        ),
        {"#000000": 2500},
    ),
    "masks of masks": (
        lambda: svg(
            layers("mask", '<rect width="50" height="50" fill="#fff" mask="url(#l{})"/>',
                   '<mask id="l{}"><rect width="50" height="50" fill="#fff"/></mask>')
            + '<rect width="50" height="50" mask="url(#l0)"/>'
        ),
        {"#000000": 2500},
    ),
    "gradients of one another": (
        lambda: svg(
            '<linearGradient id="a" href="#b"/><linearGradient id="b" href="#a"/>'
            '<rect width="9" height="9" fill="url(#a)"/>' + RED
        ),
        {"#ff0000": 2500},
    ),
    "DTD that is elsewhere": (
        lambda: b'<!DOCTYPE svg SYSTEM "http://example.com/x.dtd">' + svg(RED),
        {"#ff0000": 2500},
    ),
    "20 000 turns": (
        lambda: svg(f'<g transform="{"rotate(90) " * 20_000}">{RED}</g>'),
        {"#ff0000": 2500},
    ),
    "spaces and a number": (lambda: path(f"H9{' ' * 8_000_000}V9H0z"), {"#000000": 81}),
    "small arcs of huge circles": (  # no two of one size
        lambda: path(
            "".join(f"M{at % 25 * 4} {at // 25 * 4}a{reach} {reach} 0 0 1 2 0v2h-2z"
                    for at, reach in enumerate(range(10_000_000, 16_000_000, 10_000)))
        ),
        {"#000000": 2400},
    ),
    "endless dash offset": (
        lambda: path("H100", 'stroke="red" stroke-dasharray="5 5" stroke-dashoffset="1e300"'),
        {"#ff0000": 25},
    ),
    "UTF-16": (
        lambda: f'<?xml version="1.0" encoding="utf-16"?>{HEAD}{RED}</svg>'.encode("utf-16"),
        {"#ff0000": 2500},
    ),
    "UTF-8 with a mark": (lambda: b"\xef\xbb\xbf" + svg(RED), {"#ff0000": 2500}),
    "8 MB of comment": (lambda: svg(f"<!-- {'x' * 8_000_000} -->{RED}"), {"#ff0000": 2500}),
    "a million style declarations": (
        lambda: svg(f'<rect width="50" height="50" style="{"fill:red;" * 900_000}"/>'),
        {"#ff0000": 2500},
    ),
}  # fmt: skip
