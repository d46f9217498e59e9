"""Invented boards of a model-railway workshop, written as whole fab sets; nothing here imports labelcheck."""
