"""Fitment: whether donor steering parts mate, by what margin, and on whose word."""
