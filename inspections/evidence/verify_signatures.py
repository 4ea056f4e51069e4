#!/usr/bin/env python3
"""Check who signed the checks of this evidence bundle. Needs Python 3.8 or newer and openssl.

Run it inside the unpacked folder:  python3 -I verify_signatures.py

For every passkey's signature that data/signatures.csv lists it checks that the message is the one
whose SHA-256 the record names; that the device was asked to sign that SHA-256 and nothing else;
that a person was at the device; that the signature holds, by openssl; and that the key is the one
that the log names for this check. A password leaves nothing that could be checked.
"""

import base64
import csv
import hashlib
import json
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

HERE = Path(__file__).resolve().parent
PRESENT, VERIFIED = 0x01, 0x04  # bits of the 33rd byte that was signed (WebAuthn 2, 6.1)
BY_DIGEST = {
    "ES256": ["-sha256"], "ES256K": ["-sha256"], "ES384": ["-sha384"], "ES512": ["-sha512"],
    "RS256": ["-sha256"], "PS256": ["-sha256", "-sigopt", "rsa_padding_mode:pss"],
}  # fmt: skip


def sha256_of(content):
    return hashlib.sha256(content).hexdigest()


def holds(folder, algorithm):
    """Whether openssl says that the key signed the bytes."""
    key, signed = str(folder / "public-key.pem"), str(folder / "signed-bytes.bin")
    signature = str(folder / "signature.bin")
    if algorithm == "EdDSA":
        asked = ["pkeyutl", "-verify", "-pubin", "-inkey", key, "-rawin", "-in", signed]
        asked += ["-sigfile", signature]
    elif algorithm in BY_DIGEST:
        asked = ["dgst", *BY_DIGEST[algorithm], "-verify", key, "-signature", signature, signed]
    else:
        return False
    done = subprocess.run(["openssl", *asked], capture_output=True, check=False)
    return done.returncode == 0


def faults_of(row, data, logged):
    folder = data / "signatures" / row["signature"]
    message = (folder / "message.json").read_bytes()
    client = (folder / "client-data.json").read_bytes()
    signed = (folder / "signed-bytes.bin").read_bytes()
    key = sha256_of((folder / "public-key.pem").read_bytes())
    record = json.loads((data / "records" / (row["record"] + ".json")).read_bytes())
    said = json.loads(client)
    challenge = base64.urlsafe_b64encode(hashlib.sha256(message).digest()).decode().rstrip("=")
    host = (urlsplit(said["origin"]).hostname or "").encode()
    checks = [
        ((record.get("phone") or {}).get("message_sha256") == sha256_of(message),
         "the record names another message"),
        (said["type"] == "webauthn.get" and said["challenge"] == challenge,
         "the device was asked to sign something else"),
        (signed[-32:] == hashlib.sha256(client).digest(), "not what the device was asked"),
        (signed[:32] == hashlib.sha256(host).digest(), "made for another address"),
        (bool(signed[32] & PRESENT), "nobody was at the device"),
        (bool(signed[32] & VERIFIED) == (row["device asked who it was"] == "yes"),
         "whether the device asked who it was is told wrongly"),
        ((row["record"], sha256_of(message), key) in logged, "the log names another key, or none"),
        (holds(folder, row["algorithm"]), "the signature does not hold"),
    ]  # fmt: skip
    return [why for right, why in checks if not right]


def logged_keys(data):
    """Check, SHA-256 of its message, SHA-256 of the key: as the log told when it arrived."""
    found = set()
    with (data / "log.jsonl").open("rb") as lines:
        for line in lines:
            body = json.loads(line)
            if body["did"] == "sign_check":
                after = body["after"]
                key = after.get("public_key_pem_sha256")
                found.add((after["check"], after["message_sha256"], key))
    return found


def rows_of(data, name):
    with (data / name).open(encoding="utf-8-sig", newline="") as table:
        return list(csv.DictReader(table))


def check(data):
    """What is wrong, and what was looked at, in words."""
    rows, logged, faults = rows_of(data, "signatures.csv"), logged_keys(data), []
    by_key = [row for row in rows if row["how"] == "passkey"]
    for row in by_key:
        where = "signature %s of record %s: " % (row["signature"], row["record"])
        faults += [where + why for why in faults_of(row, data, logged)]
    nobody = sum(row["signed"] == "nobody" for row in rows_of(data, "records.csv"))
    return faults, (
        "%d by passkey; %d by password, which only the book says; %d records that nobody signed"
        % (len(by_key), len(rows) - len(by_key), nobody)
    )


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("SIGNATURES OK: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
