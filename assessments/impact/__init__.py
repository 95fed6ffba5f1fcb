"""A still at impact, measured: landmarks in pixels go in, measures with uncertainty come out.

The scale is the ball, the level is the ground, and the construction is the same for everyone:
a left-hander is mirrored first. The picture plane is taken as the plane of the target line. The
core does not find landmarks, does not know whether the frame is the instant of impact, and
cannot see a camera that stands off square; it refuses a still whose marks cannot be right.
"""

DEFINITIONS_VERSION = "impact-1"
