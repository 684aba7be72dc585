"""Layout files of every kind that designers send, drawn with a seed: what is in each is known from how it was drawn.

`kinds.make(kind, seed, folder)` draws one file. Its truth (window, blocks of type, lines, faults) is what the drawing
put there, never what the code under test found.
"""
