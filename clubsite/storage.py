"""Static files under names that change with their contents."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticStorage(CompressedManifestStaticFilesStorage):
    """Compressed files with hashed names, inside JavaScript modules too.

    Without that, a module imported by its plain name and by its hashed name
    would be loaded twice, with two states.
    """

    support_js_module_import_aggregation = True
