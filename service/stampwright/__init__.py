"""From a customer's mark to a branding iron: the stages, in the order in which the arrows point.

Each stage is a folder with one door, its `__init__`, and leans only on stages named before it here.
"""

__version__ = "0.1.0"

STAGES = (
    "base",  # words every stage uses: problems, remarks, quantities, tolerances, tables
    "catalogue",  # metals, substrates, cutters, threads, each value with its source
    "job",  # what is asked for beside the mark, all in millimetres
    "plane",  # exact plane geometry: the grid, booleans, offsets, the medial axis
    "artwork",  # SVG bytes in, ink out
    "layout",  # the ink on the head, reversed: the face
    "thickening",  # lands too thin to last, grown without closing a gap
    "solid",  # the face as a closed relief with its threaded hole
    "review",  # what will disappoint, where, by how much, with which cutter
    "cutting",  # which cutters in which order, speeds, depths, minutes; blank and thread
    "heat",  # heat-up, temperatures, rod, pressing
    "pipeline",  # the whole job on one page
    "drawings",  # what people judge a stamp by: proofs, pictures, the shop sheet
    "documents",  # the answer as JSON, the bundle
    "slots",  # where the work is done: processes that can be limited and stopped
    "web",  # HTTP in, HTTP out; the only place that knows Flask
    "cluster",  # the same work on the workers of a cluster, for batches beyond one machine
    "demo",  # the beekeepers' marks, run through the real service
)
