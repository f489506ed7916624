"""Shows an audit: one render-neutral view, and a writer for each place it is read."""
