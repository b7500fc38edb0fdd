"""Drawings at a stated scale: shapes in true millimetres, dimensions that measure what they stand at, SVG and DXF.

What belongs here: how anything is drawn. What is drawn, and why, is for the sheets that use it.
"""
