#!/usr/bin/env python3
"""beside.py SHARED_PICTURES [FOLDER] [--every N] [--polygons FOLDER] - the same drawings by a general image library, measured as pictures-bench measures ours.

OpenCV (Debian: python3-opencv): k-means with the TRUE number of colours (the ground's among them), nearest centre for each pixel,
contours, polygon approximation within 0.5 and 1 px. Truth: the SVG by librsvg without antialiasing, 4 samples a pixel's side at
600 px (JPEG q75 with halved colour), 2 at 2048 px (PNG on white). Colours: dE00 of the worst. Regions: 4-connected, 20 px and more, to the
letter. Offset: symmetric difference / boundary length, px. Area: signed, the worst colour. Prints a line a picture and the means.
With --polygons it writes the polygons of the drawings at 1024 px instead, a file each, for pictures-bench --do corners --polygons
FOLDER, which counts their corners by the rule that ours are counted by.
"""
import glob
import os
import subprocess
import sys
import tempfile

import cv2
import numpy as np

SAMPLES = {600: 4, 1024: 2, 2048: 2}  # a pixel's side
LEAST_PX = 20
FIT_PX = 200000
NO_SMOOTHING = "*{shape-rendering:crispEdges}"


def lab(rgb):
    c = np.asarray(rgb, float) / 255
    c = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    m = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]])
    x = c @ m.T / np.array([0.95047, 1, 1.08883])
    f = np.where(x > 216 / 24389, np.cbrt(x), (24389 / 27 * x + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def de00(p, q):
    """G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula" (2005)."""
    (l1, a1, b1), (l2, a2, b2) = lab(p), lab(q)
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 1.5 - 0.5 * np.sqrt(mean**7 / (mean**7 + 25.0**7))
    c1, c2 = np.hypot(a1 * g, b1), np.hypot(a2 * g, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1 * g)) % 360, np.degrees(np.arctan2(b2, a2 * g)) % 360
    dh = 0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    hm = h1 + h2 if c1 * c2 == 0 else (h1 + dh / 2) % 360
    d_hue, lm, cm = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2)), (l1 + l2) / 2, (c1 + c2) / 2
    t = (1 - 0.17 * np.cos(np.radians(hm - 30)) + 0.24 * np.cos(np.radians(2 * hm)) + 0.32 * np.cos(np.radians(3 * hm + 6))
         - 0.2 * np.cos(np.radians(4 * hm - 63)))
    sl, sc, sh = 1 + 0.015 * (lm - 50) ** 2 / np.sqrt(20 + (lm - 50) ** 2), 1 + 0.045 * cm, 1 + 0.015 * cm * t
    rt = -np.sin(np.radians(60 * np.exp(-(((hm - 275) / 25) ** 2)))) * 2 * np.sqrt(cm**7 / (cm**7 + 25.0**7))
    u, v, w = (l2 - l1) / sl, (c2 - c1) / sc, d_hue / sh
    return float(np.sqrt(max(u * u + v * v + w * w + rt * v * w, 0)))


def render(svg, px, style):
    with tempfile.TemporaryDirectory() as work:
        css, png = os.path.join(work, "s.css"), os.path.join(work, "p.png")
        with open(css, "w", encoding="ascii") as file:
            file.write(style)
        subprocess.run(["rsvg-convert", "-w", str(px), "-h", str(px), "-a", "-b", "white", "-s", css, svg, "-o", png], check=True)
        return cv2.imread(png)[:, :, ::-1].copy()


def values(picture):
    p = picture.astype(np.int32)
    return p[:, :, 0] << 16 | p[:, :, 1] << 8 | p[:, :, 2]


def truth_of(svg, px):
    """Class of each sample and the colours; colours nearer than dE00 3 are one, the larger one's."""
    v = values(render(svg, px * SAMPLES[px], NO_SMOOTHING))
    value, index, count = np.unique(v.ravel(), return_inverse=True, return_counts=True)
    colours, class_of = [], np.zeros(len(value), int)
    for i in np.argsort(-count, kind="stable"):
        c = (value[i] >> 16, value[i] >> 8 & 255, value[i] & 255)
        near = [k for k, known in enumerate(colours) if de00(known, c) < 3]
        if not near:
            colours.append(c)
        class_of[i] = near[0] if near else len(colours) - 1
    return class_of[index].reshape(v.shape), np.array(colours, float)


def regions(label, colour_count):
    """4-connected areas of 20 px and more of each class."""
    out = []
    for k in range(colour_count):
        _, _, stats, _ = cv2.connectedComponentsWithStats((label == k).astype(np.uint8), connectivity=4)
        out.append(int((stats[1:, cv2.CC_STAT_AREA] >= LEAST_PX).sum()))
    return out


def quantise(picture, count):
    flat = picture.reshape(-1, 3).astype(np.float32)
    cv2.setRNGSeed(1)
    some = flat[:: max(1, len(flat) // FIT_PX)]
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.1)
    _, _, centres = cv2.kmeans(some, count, None, stop, 4, cv2.KMEANS_PP_CENTERS)
    nearest = np.argmin([((flat - c) ** 2).sum(1) for c in centres], 0)
    return nearest.reshape(picture.shape[:2]), centres


def redraw(label, count, size, samples, tolerance_px):
    """The polygons of each label, drawn largest label first at the truth's size."""
    canvas = np.zeros(size, np.uint8)
    for k in np.argsort([-(label == k).sum() for k in range(count)], kind="stable"):
        twice = cv2.resize((label == k).astype(np.uint8), None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)  # contours run on pixel middles
        found, _ = cv2.findContours(twice, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
        rings = [cv2.approxPolyDP(c, 2 * tolerance_px, True).astype(float) for c in found]
        rings = [np.round(((r + 0.5) / 2 * samples - 0.5) * 16).astype(np.int32) for r in rings if len(r) >= 3]
        if rings:
            cv2.fillPoly(canvas, rings, int(k), shift=4)
    return canvas


def write_polygons(svg, folder):
    """Closed rings of every label of the drawing at 1024 px, within 1 px: "x y" in pixels a line, an empty line after each ring."""
    name = os.path.splitext(os.path.basename(svg))[0]
    folder_name = os.path.basename(os.path.dirname(svg))
    group = "shared" if folder_name == name else folder_name  # as pictures-bench calls them
    label, centres = quantise(render(svg, 1024, ""), len(truth_of(svg, 1024)[1]))
    with open(os.path.join(folder, f"{group}-{name}.txt"), "w", encoding="ascii") as file:
        for k in range(len(centres)):
            twice = cv2.resize((label == k).astype(np.uint8), None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
            found, _ = cv2.findContours(twice, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
            for ring in found:
                for x, y in (cv2.approxPolyDP(ring, 2.0, True)[:, 0].astype(float) + 0.5) / 2:
                    file.write(f"{x:.2f} {y:.2f}\n")
                file.write("\n")


def measure(svg, px, is_jpeg):
    samples = SAMPLES[px]
    truth, colours = truth_of(svg, px)
    picture = render(svg, px, "")
    if is_jpeg:
        _, data = cv2.imencode(".jpg", picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, 75])
        picture = cv2.imdecode(data, 1)[:, :, ::-1]
    height, width = truth.shape[0] // samples, truth.shape[1] // samples
    label, centres = quantise(picture[:height, :width], len(colours))
    to_class = np.array([int(np.argmin([de00(c, known) for known in colours])) for c in centres])
    worst = max(min(de00(c, known) for c in centres) for known in colours)
    ours = to_class[label]
    coarse = truth[samples // 2 :: samples, samples // 2 :: samples][:height, :width]
    right = len(set(to_class)) == len(colours) and regions(ours, len(colours)) == regions(coarse, len(colours))
    out = {"colours": len(set(to_class)) == len(colours), "de00": worst, "regions": right}
    truth = truth[: height * samples, : width * samples]
    edges = (truth[1:] != truth[:-1]).sum() + (truth[:, 1:] != truth[:, :-1]).sum()
    length = edges / samples * np.pi / 4  # a staircase is longer than its line by 4 / pi on average over all directions
    for tolerance in (0.5, 1.0):
        drawn = to_class[redraw(label, len(centres), truth.shape, samples, tolerance)]
        out[f"offset {tolerance}"] = (drawn != truth).sum() / samples**2 / length
        area = []
        for k in range(len(colours)):
            own = truth == k
            border = ((own[1:] != own[:-1]).sum() + (own[:, 1:] != own[:, :-1]).sum()) / samples * np.pi / 4
            area.append(abs(float((drawn == k).sum()) - own.sum()) / samples**2 / max(border, 1))
        out[f"area {tolerance}"] = max(area)
    return out


def main():
    words = sys.argv[1:]
    every = int(words[words.index("--every") + 1]) if "--every" in words else 1
    folders = [w for i, w in enumerate(words) if not w.startswith("--") and (i == 0 or not words[i - 1].startswith("--"))]
    polygons = words[words.index("--polygons") + 1] if "--polygons" in words else None
    svgs = [svg for folder in folders for svg in sorted(glob.glob(os.path.join(folder, "*", "*.svg")))][::every]
    if polygons:
        os.makedirs(polygons, exist_ok=True)
        for svg in svgs:
            write_polygons(svg, polygons)
        return
    for px, is_jpeg in ((600, True), (2048, False)):
        rows = []
        for svg in svgs:
            rows.append(measure(svg, px, is_jpeg))
            print(px, os.path.basename(svg), " ".join(f"{k} {float(v):.3f}" for k, v in rows[-1].items()), flush=True)
        print(f"{px} px {'JPEG' if is_jpeg else 'PNG'}: {len(rows)} pictures", " ".join(
            f"{k} {max(r[k] for r in rows):.3f} worst" if k == "de00" else f"{k} {np.mean([float(r[k]) for r in rows]):.3f}" for k in rows[0]))


if __name__ == "__main__":
    main()
