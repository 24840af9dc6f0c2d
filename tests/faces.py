"""Faces for the tests of the review: plain shapes on a head, laid out by hand, and what the review says of them."""

import dataclasses

import shapely

from stampwright.catalogue import CUTTERS, SUBSTRATES
from stampwright.job import Head, Job, Limits
from stampwright.layout import Face
from stampwright.plane import Closings, medial_axis, on_grid
from stampwright.review import review_face

HEAD_MM = 60.0
OAK = SUBSTRATES["oak-white"]


def face_of(ink, *, relief_mm=1.5, head_mm=HEAD_MM, **more):
    """A face with the ink where it is drawn, on a square head about the origin."""
    head = shapely.box(-head_mm / 2, -head_mm / 2, head_mm / 2, head_mm / 2)
    face = Face(on_grid(ink), on_grid(head).geoms[0], relief_mm, 1.0, True, False)  # noqa: FBT003  reversed, no symmetry
    return dataclasses.replace(face, **more)


def job_with(*cutters, head_mm=HEAD_MM, limits=None, **more):
    """A job on that head with cutters of the catalogue, by key."""
    rack = tuple(CUTTERS[key] for key in cutters) or Job().cutters
    head = Head(width_mm=head_mm, height_mm=head_mm, corner_radius_mm=0.0)
    return Job(head=head, cutters=rack, limits=limits or Limits(), **more)


def reviewed(ink, job=None, *, hole=None, substrate=OAK, drawn_axis=None, **face):
    """The review of a shape, which may have been grown."""
    laid = face_of(ink, **face)
    axis = medial_axis(laid.ink)
    return review_face(
        laid,
        job or job_with(),
        hole=hole,
        substrate=substrate,
        axis=axis,
        closings=Closings(laid.ink, axis),
        drawn_axis=drawn_axis,
    )


def found(review, code):
    """The findings of one code."""
    return [finding for finding in review.findings if finding.code == code]
