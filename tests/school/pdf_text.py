"""What a PDF says to whoever copies its text."""

import subprocess


def text_of(content: bytes) -> str:
    answer = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=content, check=True, capture_output=True
    )
    return answer.stdout.decode()
