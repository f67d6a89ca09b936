"""Log lines that a person's input cannot forge and that give no code away."""

import logging
import re

# The part of an address that lets in whoever holds the link.
CODE_IN_PATH = re.compile(r"(/invitations/|/password/reset/key/)[^/\s]+")


class OneLineFormatter(logging.Formatter):
    """Formats as usual, with line breaks in the message written as \\n and codes hidden.

    Tracebacks stay as they are.
    """

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802
        message = record.message.replace("\r", "\\r").replace("\n", "\\n")
        record.message = CODE_IN_PATH.sub(r"\1[code]", message)
        return super().formatMessage(record)
