"""The log of each venue becomes a Merkle tree (RFC 9162) instead of a chain. The lines' texts stay as
they are to the byte; a log whose chain does not hold is refused, and then nothing is changed."""

from hashlib import sha256

from django.db import migrations, models


class BrokenLog(Exception):
    """The log was changed before it came here. Find out what happened before you go on."""


def leaves_of(head, lines):
    """Number, key and leaf hash of every line, after its link of the chain was checked."""
    previous, number = "", 0
    rows = lines.filter(venue_id=head.venue_id).order_by("number")
    columns = ("pk", "number", "body", "previous_sha256", "sha256")
    for pk, told, body, before, link in rows.values_list(*columns).iterator(chunk_size=1000):
        number += 1
        right = sha256(f"{previous}\n{body}".encode()).hexdigest()
        if (told, before, link) != (number, previous, right):
            raise BrokenLog(f"venue {head.venue_id}: line {number} does not follow the one before")
        previous = link
        yield pk, sha256(b"\0" + body.encode()).digest()
    if (head.size, head.sha256) != (number, previous):
        raise BrokenLog(
            f"venue {head.venue_id}: the log ends at {number}, the head says {head.size}"
        )


def plant_trees(apps, schema_editor):
    here = schema_editor.connection.alias
    heads, lines = (
        apps.get_model("venue", name).objects.using(here) for name in ("LogHead", "LogLine")
    )
    if lines.exclude(venue_id__in=heads.values("venue_id")).exists():
        raise BrokenLog("there are lines of a venue that has no head")
    for head in heads.order_by("pk"):
        frontier, size, hashed = [], 0, []
        for pk, leaf in list(leaves_of(head, lines)):
            hashed.append((leaf.hex(), pk))
            full, size = size, size + 1
            while full & 1:
                leaf, full = sha256(b"\1" + frontier.pop() + leaf).digest(), full >> 1
            frontier.append(leaf)
        with schema_editor.connection.cursor() as cursor:
            cursor.executemany("update venue_logline set sha256 = %s where id = %s", hashed)
        head.frontier = b"".join(frontier).hex()
        root = frontier.pop() if frontier else sha256(b"").digest()
        while frontier:
            root = sha256(b"\1" + frontier.pop() + root).digest()
        head.sha256 = root.hex()
        head.save(update_fields=["frontier", "sha256"])


class Migration(migrations.Migration):
    dependencies = [
        ("venue", "0005_calendar_known_until"),
    ]

    operations = [
        migrations.AddField(
            model_name="loghead",
            name="frontier",
            field=models.TextField(blank=True, default=""),
            preserve_default=False,
        ),
        migrations.RunPython(plant_trees),
        migrations.RenameField(model_name="loghead", old_name="sha256", new_name="root"),
        migrations.RemoveField(model_name="logline", name="previous_sha256"),
    ]
