"""Measuring, charting and proving quality: tolerances, frequencies, control charts, capability, gauges, sampling.

Readings and limits are exact decimals as they were typed; means, ranges and sums of squares are exact fractions. Only
what is irrational by nature, a square root or a quantile, is a float. Bad input raises ``errors.BadInputError``, whose
fault and values the app turns into a sentence.
"""
