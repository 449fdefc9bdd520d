"""The file as a document: opened and unpacked within limits, its pages found, framed and handed out. Knows no operator."""
