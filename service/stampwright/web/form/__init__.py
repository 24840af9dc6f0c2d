"""The order form: its parts below `/form/`, which run in the customer's browser, and the texts of its page."""

from .files import FORM_PARTS, Part, form_part, page_words

__all__ = ["FORM_PARTS", "Part", "form_part", "page_words"]
