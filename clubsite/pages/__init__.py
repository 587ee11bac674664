"""Pages of the site itself."""
