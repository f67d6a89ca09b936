"""Log lines that a person's input cannot forge."""

import logging


class OneLineFormatter(logging.Formatter):
    """Formats as usual, with line breaks inside the message written as \\n; tracebacks stay as they are."""

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 (the library's name)
        record.message = record.message.replace("\r", "\\r").replace("\n", "\\n")
        return super().formatMessage(record)
