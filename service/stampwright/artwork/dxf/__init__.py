"""DXF: entities of the modelspace to closed outlines, hatches and wide lines, the world's y up turned down.

Enter it only to read a DXF drawing: the library behind it takes a quarter of a second to load.
"""

from .opened import DxfSource

__all__ = ["DxfSource"]
