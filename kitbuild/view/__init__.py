"""The live page: a kit as it looks while its spec is edited, served to this machine alone."""
