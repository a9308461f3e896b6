"""weldlog: the site's shell (settings, addresses) and, beside it, the welding engine."""
