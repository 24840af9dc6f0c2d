"""Every epsilon of the product, and what breaks when it moves. Lengths in mm on the finished face."""

from __future__ import annotations

GRID_MM = 2.0**-13
"""Plan vertices are multiples of this (0.122 µm). A power of two: exact in float32 STL up to 2 m, exact as integers of
the segment Voronoi diagram. A decimal grid merges vertices when rounded to float32 and opens the solid."""

GRID_PER_MM = 2**13
"""Integer coordinates of the grid per millimetre."""

CHORD_MM = 0.002
"""Largest distance of a flattened curve from the true one, unless the job asks for another. Larger values eat the
0.005 mm to which widths are promised; smaller ones only cost vertices."""

SLIVER_MM2 = 0.001
"""Islands and holes below this area are dropped and counted: half an edge of 0.03 mm, below what any cutter makes or
any wood shows. Larger ones are the review's business."""

DUST_MM2 = 1e-6
"""Islands and holes below this area, a square of 1 µm, are dropped without a word: coordinates that the drawing program
rounded leave them where outlines meet. Of 150 open emblems 40 would be told of nothing else."""

WIDTH_MM = 0.005
"""Widths, gaps and residuals are promised to this."""

PINCH_SHARE = 2e-6
"""Share of the ink that parting lands which meet in a point may cost; 5e-7 is the most of 3,000 random heaps. Not kept
where walls leave that point at so small an angle that the grid cannot tell them apart for long: a hair of that length
has to go."""
