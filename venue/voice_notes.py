"""Tell a voice note by its bytes: Ogg, WebM or MP4 with sound and no picture. Pure.

It is never decoded or changed here: it is kept as it came and played by the browser alone.
"""

from __future__ import annotations

import re

MAX_BYTES = 5_000_000
LONGEST_SECONDS = 60
# Beginning -> what it is served as, and how its name ends.
ENDINGS = {"audio/webm": "webm", "audio/ogg": "ogg", "audio/mp4": "m4a"}

OGG_SOUND = (b"OpusHead", b"\x01vorbis", b"Speex   ", b"\x7fFLAC")
WEBM_KINDS = (b"webm", b"matroska")
WEBM_SOUND, WEBM_PICTURE = (
    (b"A_OPUS", b"A_VORBIS", b"A_PCM", b"A_AAC"),
    (b"V_VP", b"V_AV1", b"V_MPEG"),
)
MP4_TRACK = re.compile(rb"hdlr.{8}(soun|vide)", re.DOTALL)


class NotAVoiceNote(ValueError):
    """Says what was wrong and what to send instead."""


def media_type_of_voice(content: bytes, name: str) -> str:
    """Raises NotAVoiceNote. What the file's name or its sender says of its type counts nothing."""
    if len(content) > MAX_BYTES:
        raise NotAVoiceNote(
            f"“{name}” is {len(content) / 1_000_000:.1f} MB; a voice note may have 5 MB. Say it in a minute."
        )
    for media_type, is_one in (("audio/webm", _webm), ("audio/ogg", _ogg), ("audio/mp4", _mp4)):
        if is_one(content):
            return media_type
    raise NotAVoiceNote(
        f"“{name}” is not a voice note this can keep. Send sound as WebM, Ogg or MP4 (M4A)."
    )


def _webm(content: bytes) -> bool:
    head = content[:4096]
    known = head.startswith(b"\x1a\x45\xdf\xa3") and any(kind in head[:64] for kind in WEBM_KINDS)
    sound = any(codec in head for codec in WEBM_SOUND)
    return known and sound and not any(codec in head for codec in WEBM_PICTURE)


def _ogg(content: bytes) -> bool:
    return content.startswith(b"OggS") and any(codec in content[:128] for codec in OGG_SOUND)


def _mp4(content: bytes) -> bool:
    return content[4:8] == b"ftyp" and set(MP4_TRACK.findall(content)) == {b"soun"}
