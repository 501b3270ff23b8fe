"""The decoder: small functions on arrays.

They are plain Python and run as they are; ``app.core.planning.compiled`` compiles the same functions with numba where
it is installed. So they use whole numbers, rows, while and for loops over ranges, and each other; nothing else.
"""
