"""What discs along the laid paths sweep, by geometry alone: enough of the claimed ground, and into no wall."""

import shapely

COVERED = 0.999  # of the ground an operation claims, by the union of its discs
GOUGE_MM = 0.005
EDGE_MM = 0.003  # a finished wall may stand this far out: paths keep 0.002 mm off, arcs are flattened
CLEARING = {"rough", "rest_rough", "floor", "slot", "wall", "bore"}


def cuts_of(plan):
    """Operations with flat cutters on the front, each with its ground and its path."""
    on_face = [operation for operation in plan.operations if operation.side == "face"]
    return [cut for cut in zip(on_face, plan.cleared, plan.paths, strict=True) if cut[0].kind in CLEARING]


def uncovered_mm2(operation, ground, path, cutters):
    if ground.is_empty:
        return 0.0
    radius_mm = cutters[operation.cutter].diameter_mm / 2 + EDGE_MM
    swept = shapely.union_all(shapely.buffer(shapely.get_parts(path), radius_mm, quad_segs=32))  # each way by itself
    return shapely.area(shapely.difference(ground, swept))


def gouge_mm(face, operation, path, cutters):
    """Radius less distance from the path to the nearest wall: exact for straight pieces of path."""
    walls = shapely.boundary(face.ink)
    shapely.prepare(walls)
    nearest = float(shapely.distance(shapely.get_parts(path), walls).min()) if len(path.geoms) else 1e9
    return cutters[operation.cutter].diameter_mm / 2 - nearest


def assert_covered_and_unharmed(face, plan, cutters):
    """Each operation sweeps 99.9 % of what it claims, and cuts into no wall by more than 0.005 mm."""
    for operation, ground, path in cuts_of(plan):
        left_mm2 = uncovered_mm2(operation, ground, path, cutters)
        assert left_mm2 <= max((1 - COVERED) * ground.area, 0.02), operation.kind
        assert gouge_mm(face, operation, path, cutters) < GOUGE_MM, operation.kind
