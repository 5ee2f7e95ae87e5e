#!/usr/bin/env python3
"""Renders small panels with the Mitsuba 3 renderer, a general path tracer that shares no code with
Rimeglow, and prints their luminances for tests/renderer_test.cpp:

    python3 -m venv /tmp/reference && /tmp/reference/bin/pip install mitsuba==3.5.2 "numpy<2"
    /tmp/reference/bin/python tests/reference/render_panels.py > tests/reference/luminances.csv

Run by hand; the tests only read the table. The panel is described here from scratch: 40 x 30 x 3 mm
of index 1.49 without absorption, x right, y up, z toward the viewer, its lower left back corner at
the origin. A Lambertian emitter of 36 x 2 mm shines into the bottom edge from 0.5 mm below. A patch
of 12 x 12 mm in the middle of the back is painted or rough; or the top edge is rough. Rough is GGX of
alpha 0.5 as Mitsuba has it: one scattering order, masking and shadowing apart (Smith).
Each luminance is the mean over the patch or the edge as one far eye sees it, in units of the
emitter's own, with the standard error of 64 independent pictures.
"""
import math
import statistics
import sys

import mitsuba as mi

mi.set_variant("llvm_ad_rgb" if "llvm" in sys.argv else "scalar_rgb")
from mitsuba import ScalarTransform4f as T

SIZE = (40.0, 30.0, 3.0)
INDEX = 1.49
PATCH = (14.0, 9.0, 26.0, 21.0)  # x0, y0, x1, y1 on the back
ALPHA = 0.5
WHITE = 0.8

POLISHED = {"type": "dielectric", "int_ior": INDEX, "ext_ior": 1.0}
ROUGH = {"type": "roughdielectric", "distribution": "ggx", "alpha": ALPHA, "int_ior": INDEX,
         "ext_ior": 1.0, "sample_visible": True}
PAINTED = {"type": "diffuse", "reflectance": {"type": "rgb", "value": WHITE}}


def rectangle(corner, along, across, bsdf, emitter=None):
    """A flat piece from `corner`, its normal along x across."""
    normal = [along[1] * across[2] - along[2] * across[1],
              along[2] * across[0] - along[0] * across[2],
              along[0] * across[1] - along[1] * across[0]]
    length = math.sqrt(sum(c * c for c in normal))
    # Mitsuba's rectangle spans -1..1 in x and y, its normal along z.
    columns = [[c / 2 for c in along], [c / 2 for c in across], [c / length for c in normal]]
    middle = [corner[i] + along[i] / 2 + across[i] / 2 for i in range(3)]
    matrix = [[columns[0][i], columns[1][i], columns[2][i], middle[i]] for i in range(3)]
    shape = {"type": "rectangle", "to_world": T(matrix + [[0.0, 0.0, 0.0, 1.0]]), "bsdf": bsdf}
    if emitter:
        shape["emitter"] = emitter
    return shape


def panel(patch, top):
    """The panel's faces, normals outward except the painted patch, whose paint faces inward."""
    w, h, t = SIZE
    x0, y0, x1, y1 = PATCH
    scene = {
        "front": rectangle([0, 0, t], [w, 0, 0], [0, h, 0], POLISHED),
        "bottom": rectangle([0, 0, 0], [w, 0, 0], [0, 0, t], POLISHED),
        "top": rectangle([0, h, 0], [0, 0, t], [w, 0, 0], top),
        "left": rectangle([0, 0, 0], [0, 0, t], [0, h, 0], POLISHED),
        "right": rectangle([w, 0, 0], [0, h, 0], [0, 0, t], POLISHED),
        "lamp": rectangle([2.0, -0.5, 0.5], [0, 0, 2.0], [36.0, 0, 0], {"type": "diffuse",
                          "reflectance": {"type": "rgb", "value": 0.0}},
                          {"type": "area", "radiance": {"type": "rgb", "value": 1.0}}),
    }
    for name, (a, b, c, d) in {"below": (0, 0, w, y0), "above": (0, y1, w, h),
                               "beside left": (0, y0, x0, y1),
                               "beside right": (x1, y0, w, y1)}.items():
        scene[name] = rectangle([a, b, 0], [0, d - b, 0], [c - a, 0, 0], POLISHED)
    if patch is PAINTED:
        scene["patch"] = rectangle([x0, y0, 0], [x1 - x0, 0, 0], [0, y1 - y0, 0], patch)
    else:
        scene["patch"] = rectangle([x0, y0, 0], [0, y1 - y0, 0], [x1 - x0, 0, 0], patch)
    return scene


def eye(toward, middle, half_width, half_height, up):
    """A far eye in direction `toward`, its picture centred on a point and so large."""
    origin = [middle[i] + 100.0 * toward[i] for i in range(3)]
    look = T.look_at(origin=origin, target=middle, up=up) @ T.scale([half_width, half_height, 1.0])
    return {"type": "orthographic", "near_clip": 1.0, "far_clip": 1000.0, "to_world": look,
            "film": {"type": "hdrfilm", "width": 8, "height": 8, "rfilter": {"type": "box"},
                     "pixel_format": "luminance", "component_format": "float32"},
            "sampler": {"type": "independent"}}


def patch_eye(above_deg):
    """Sees the patch and nothing else, through the front."""
    above = math.radians(above_deg)
    inside = math.asin(math.sin(above) / INDEX)
    toward = [0.0, math.sin(above), math.cos(above)]
    # The middle of the patch appears where its light leaves the front.
    leaves = [20.0, 15.0 + SIZE[2] * math.tan(inside), SIZE[2]]
    return eye(toward, leaves, 6.0, 6.0 * math.cos(above), [0, 1, 0])


def edge_eye(above_deg):
    """Sees the top edge and nothing else, directly."""
    above = math.radians(above_deg)
    toward = [0.0, math.sin(above), math.cos(above)]
    return eye(toward, [20.0, SIZE[1], 1.5], 20.0, 1.5 * math.sin(above), [0, 1, 0])


CASES = [
    ("painted patch", 0, panel(PAINTED, POLISHED), patch_eye(0)),
    ("painted patch", 40, panel(PAINTED, POLISHED), patch_eye(40)),
    ("rough patch", 0, panel(ROUGH, POLISHED), patch_eye(0)),
    ("rough patch", 40, panel(ROUGH, POLISHED), patch_eye(40)),
    ("rough top edge", 30, panel(POLISHED, ROUGH), edge_eye(30)),
    ("rough top edge", 60, panel(POLISHED, ROUGH), edge_eye(60)),
]


def main():
    pictures, samples = 64, int(next((a for a in sys.argv[1:] if a.isdigit()), 2048))
    print("# tests/reference/render_panels.py, Mitsuba", mi.__version__, "of PyPI,",
          pictures * samples * 64, "paths each")
    print("case,degrees above,luminance,standard error")
    for name, above, shapes, sensor in CASES:
        scene = mi.load_dict({"type": "scene", "sensor": sensor, **shapes,
                              "integrator": {"type": "path", "max_depth": 4000,
                                             "rr_depth": 100000}})
        values = []
        for seed in range(pictures):
            image = mi.render(scene, spp=samples, seed=seed)
            values.append(float(sum(image.array) / len(image.array)))
        print(f"{name},{above},{statistics.mean(values):.6f},"
              f"{statistics.stdev(values) / math.sqrt(pictures):.6f}", flush=True)


main()
