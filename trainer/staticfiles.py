"""Static files under hashed names, our own ES modules included."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class ModuleStorage(CompressedManifestStaticFilesStorage):
    """Rewrites the imports inside static/js/ too; for all files at once it would trip over a vendored comment."""

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        (
            "js/*.js",
            CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[
                1
            ],
        ),
    )
