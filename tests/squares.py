"""Squares of 10 x 10 mm: parts of drawings whose ink has a round area by hand."""

S = '<rect width="10" height="10"{}/>'
AT = '<rect x="{}" width="10" height="10"{}/>'
K = AT.format(30, "")  # one that is always dark

WHITE, BLACK = 100.0, 200.0
"""Ink [mm²] of `css` when its first square has turned white, and when it is still black."""


def css(sheet, more=""):
    """A square in a group, with class, id and style sheet, and another beside it."""
    return f'<style>{sheet}</style><g class="g"><rect id="a" class="b c" width="10" height="10"{more}/></g>{K}'
