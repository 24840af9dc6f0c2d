"""A thin client of the stampwright service: a mark goes in, a stamp comes out."""

__version__ = "0.1.0"
