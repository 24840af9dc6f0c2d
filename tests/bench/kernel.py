"""A block with raised lands by a general-purpose CAD library: import, extrude, fuse, STL; the seconds of each step.

A program of its own, for the library wants versions of others that the project does not take:

    kernel.py DRAWING HALF RELIEF THICKNESS
"""

import json
import sys
import tempfile
import time

import build123d as cad

CHORD_MM = 0.01  # of its STL; ours is held to a fifth


def main(drawing, half, relief, thickness):
    """Print seconds of the processor by step and the volume [mm3] of the block, without a hole and unchecked."""
    seconds, start = {}, time.process_time()

    def lap(step):
        seconds[step] = time.process_time() - start - sum(seconds.values())

    faces = cad.import_svg(drawing)
    lap("import")
    lands = [cad.extrude(face, amount=relief, dir=(0, 0, 1)) for face in faces]
    lap("extrude")
    middle, deep = cad.Compound(lands).bounding_box().center(), thickness - relief
    whole = (cad.Pos(middle.X, middle.Y, -deep / 2) * cad.Box(2 * half, 2 * half, deep)).fuse(*lands)
    lap("fuse")
    with tempfile.NamedTemporaryFile(suffix=".stl") as file:
        cad.export_stl(whole, file.name, tolerance=CHORD_MM)
    lap("STL")
    print(json.dumps({"seconds": seconds, "volume_mm3": whole.volume}))  # noqa: T201  the answer


main(sys.argv[1], *map(float, sys.argv[2:]))
