"""`colour-difference` against colour-science 0.4.7, and `colour-index` against it and the standard library's colorsys.

CIEDE2000: 20,000 random pairs of L 0..100, a and b -100..100, and 20,000 near pairs (within 3 of each other, near grey too), where
grass colours are judged. Both sides work the formula of Sharma, Wu and Dalal (2005) in double precision; roots and arctangents leave
1e-12 of at most some 120: 1e-9.

Hue, saturation and brightness: 20,000 random colours, grey ones too; both conversions are Smith's hexcone (1978): 1e-9 (degrees and
shares). The index itself is then the paper's arithmetic on the library's figures, ((H - 60) / 60 + (1 - S) + (1 - B)) / 3, for hues from
60° to 180°, which is where it means something.
"""

import colorsys

import colour
import numpy as np

AGAINST = "colour-science 0.4.7"


def test_difference(calc, agree):
    draw = np.random.default_rng(5)
    low, high = [0, -100, -100], [100, 100, 100]
    far = draw.uniform(low, high, (20_000, 3)), draw.uniform(low, high, (20_000, 3))
    near = draw.uniform([5, -40, -40], [95, 40, 40], (20_000, 3)) * [1, 1, 1]
    near[:5000, 1:] /= 20
    near = near, near + draw.uniform(-3, 3, near.shape)
    for name, (a, b) in (("any pair", far), ("near pairs", near)):
        results = calc("colour-difference", [{"lab_a": x, "lab_b": y} for x, y in zip(a.tolist(), b.tolist())])
        theirs = colour.delta_E(a, b, method="CIE 2000")
        agree("colour-difference", f"delta_e, {name}", AGAINST, [r["delta_e"] for r in results], theirs, 1e-9, "")


def test_hue_saturation_brightness(calc, agree):
    colours = np.random.default_rng(6).integers(0, 256, (20_000, 3))
    colours[:200, 1:] = colours[:200, :1]
    results = calc("colour-index", [dict(zip("rgb", map(int, c))) for c in colours])
    ours = {name: np.array([r[name] for r in results]) for name in ("hue_deg", "saturation", "brightness", "dgci")}
    theirs = colour.RGB_to_HSV(colours / 255)
    standard = np.array([colorsys.rgb_to_hsv(*c) for c in (colours / 255).tolist()])
    for against, (hue, saturation, brightness) in ((AGAINST, theirs.T), ("colorsys", standard.T)):
        # 0 and 360 degrees are one hue.
        apart = (ours["hue_deg"] - 360 * hue + 180) % 360 - 180
        agree("colour-index", "hue_deg", against, apart, np.zeros_like(apart), 1e-9, "°")
        agree("colour-index", "saturation", against, ours["saturation"], saturation, 1e-9, "")
        agree("colour-index", "brightness", against, ours["brightness"], brightness, 1e-9, "")
        green = (360 * hue >= 60) & (360 * hue <= 180) & (saturation > 0)
        index = ((360 * hue - 60) / 60 + (1 - saturation) + (1 - brightness)) / 3
        agree("colour-index", "dgci, hues 60° to 180°", against, ours["dgci"][green], index[green], 1e-9, "")
