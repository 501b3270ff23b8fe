"""The draws of a replication: small functions on arrays, in the manner of ``app.core.planning.kernels``."""
