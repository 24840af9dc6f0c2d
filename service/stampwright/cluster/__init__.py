"""Many marks on many machines: the same work on the workers of a Dask cluster; needs the extra `cluster`."""

from .cluster import Cluster

__all__ = ["Cluster"]
