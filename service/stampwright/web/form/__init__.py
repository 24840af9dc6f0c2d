"""The order form: the page at `/` and its parts below `/form/`, which run in the customer's browser."""

from .files import FORM_PARTS, PAGE, Part, form_part

__all__ = ["FORM_PARTS", "PAGE", "Part", "form_part"]
