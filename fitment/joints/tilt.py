"""How far a ball joint can tilt, from its own sizes: spherical rod end and ball stud. Lengths in mm, angles in degrees.

Every function takes floats or numpy arrays of one shape; plane geometry of the section through the axis.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitment.elementwise import is_array, minimum, sqrt

if TYPE_CHECKING:
    from fitment.elementwise import Values


def tilt_to_ball_face(ball_width: Values, eye_width: Values, face_dia: Values) -> Values:
    """Tilt each way where head, spacer or cheek is no larger than the ball's flat face.

    asin(B/dk) - asin(C/dk) with the ball's diameter dk = sqrt(B² + d3²).

    Args:
        ball_width: B, over the ball's flat faces.
        eye_width: C, over the sides of the head.
        face_dia: d3, across a flat face.
    """
    return _between(ball_width, eye_width, sqrt(ball_width * ball_width + face_dia * face_dia))


def tilt_between_cheeks(ball_width: Values, eye_width: Values, head_dia: Values) -> Values:
    """Tilt each way between flat cheeks at the ball's faces that are wider than the head.

    asin(B/r) - asin(C/r) with the head's corner at r = sqrt(d4² + C²). Catalogues often take d4 for r, which promises
    too much.

    Args:
        ball_width: B, over the ball's flat faces.
        eye_width: C, over the sides of the head.
        head_dia: d4, across the round of the head.
    """
    return _between(ball_width, eye_width, sqrt(head_dia * head_dia + eye_width * eye_width))


def ball_stud_swing(mouth_dia: Values, mouth_height: Values, neck_dia: Values) -> Values:
    """Swing of a ball stud each way until its neck meets the mouth of the socket.

    atan(do/2h) - asin(dn/2 / sqrt((do/2)² + h²)).

    Args:
        mouth_dia: do, diameter of the socket's mouth.
        mouth_height: h, ball centre to the mouth.
        neck_dia: dn, diameter of the stud's neck.
    """
    radius = mouth_dia / 2
    reach = sqrt(radius * radius + mouth_height * mouth_height)
    return _asin_deg(radius / reach) - _asin_deg(neck_dia / 2 / reach)


def _between(wide: Values, narrow: Values, across: Values) -> Values:
    return _asin_deg(wide / across) - _asin_deg(narrow / across)


def _asin_deg(ratio: Values) -> Values:
    """In degrees; a size that reaches beyond the circle is taken as touching it, 90 degrees."""
    ratio = minimum(ratio, 1.0)
    if is_array(ratio):
        import numpy as np

        angle: Values = np.degrees(np.arcsin(ratio))
        return angle
    return math.degrees(math.asin(ratio))
