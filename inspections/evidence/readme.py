"""The page a stranger reads first. Its commands are run by the tests as they stand here."""

from __future__ import annotations

from collections.abc import Sequence

README = """EVIDENCE BUNDLE: {venue}
From {start} to {end}, both days included, in local time ({time_zone}).
Made {at} by {by}.

This is a copy of what the venue's inspection book held when it was made. It is a decision aid for
competent people, not a certificate of safety. Read data/completeness.json first: it says how many
there are of each kind, in this bundle and in the whole book, so that nothing can be left out
unseen.

WHAT IS IN IT
  data/completeness.json   how many of everything; what could not be included, if anything
  data/register.csv/.json  places, equipment and parts as they stand today
  data/retired_parts.csv   every rope and other part that left its position in these days, why, and
                           what came in its place; the log has a line of each
  data/tasks.csv           every task due or done in these days, and every older one still open:
                           done in time, done late, late and still open, put off (with the
                           reason), cancelled (with the reason)
  data/competences.csv     every competence that was written down: whose (the log's reference of the
                           person), of which level, good for which work, from when to when, by which
                           certificate, issued by whom (references too), written down by whom, and
                           in which line of the log. {names}
  data/records.csv         who examined what, when, with which competence, and how it came out
  data/records/            each record whole, as canonical JSON (RFC 8785); never changed
  data/signatures.csv      who signed which check of a phone, and with what; records.csv says
                           "nobody" of every other record
  data/signatures/         for each: the message as the phone sent it, what the device was asked,
                           the bytes it signed, its signature, its public key
  data/readings.csv        each reading as typed, with unit, UCUM code and exact SI value
  data/judgements.csv      each judgement with rule set, edition, clause, value, limit, margin
  data/findings.csv, orders.csv, remedies.csv, returns.csv
  data/reports/            the signed PDFs; data/reports.csv lists them, data/countersignatures.csv
                           the same PDFs with countersignatures; each of those begins with every
                           byte of the one before
  data/photographs/        as shown in reports; originals/ holds the files as they were sent
  data/voice_notes_and_drawn_signatures.csv
                           lists what is in the folders voice-notes and drawn-signatures beside it,
                           where there are any: each as it was sent
  data/messages_kept_aside.csv
                           what phones sent and nothing could be made of, with the reason; each
                           text is in the folder messages-kept-aside beside it, where there are any
  data/isolations.csv/.json
                           for which tasks of these days a published year plan asked that something
                           be isolated, locked off or made ready: what, on which day, with how many
                           days of notice, when the letter of notice was asked for, what came of the
                           task and in which records. "made at" and "ended at" are never recorded:
                           what was in fact isolated and when it was restored is told only by the
                           answers of the records, where the check asks for it. Whether a letter was
                           sent is not recorded, nor any isolation outside of a year plan
  data/auditors_questions.csv, answers_to_auditors.csv
                           what auditors asked and what the house answered
  data/rules/              regimes, rule sets and kinds of report as they were used
  data/log.jsonl           the venue's whole log; each line is a leaf of a Merkle tree (RFC 9162)
  data/names.csv           whom the log's references (person:...) stand for: reference, salt, name.
                           {names} Where salt and name are empty the name is withheld, or was
                           removed because the person was forgotten: the log says which and when
                           (forget_person), and that somebody acted stays to be seen. Lines written
                           before there were references say the name themselves, and so do records
                           and reports
  data/heads.jsonl         size and root of the log at each time at which the venue's seal signed
                           them; head.json beside it is the last, head.json.p7s its signature
competences.csv and the log speak of people by references; the other tables, the records and the
reports name them, as the book does.
A cell that a spreadsheet could take for a formula starts with an apostrophe.
In judgements.csv the verdict "met" means that a criterion to ACT is met. "Cannot be decided" is
never a pass.

HOW TO CHECK IT
Get the SHA-256 fingerprint of the root certificate from the venue by another way than this file
and compare it with:

    openssl x509 -in root-certificate.pem -noout -fingerprint -sha256

It should be
    {root_fingerprint}

Then, inside this folder:

    openssl cms -verify -binary -inform DER -in signatures/tagmanifest-sha256.txt.p7s -content tagmanifest-sha256.txt -CAfile root-certificate.pem -out /dev/null && openssl cms -cmsout -inform DER -outform DER -in signatures/tagmanifest-sha256.txt.p7s | cmp - signatures/tagmanifest-sha256.txt.p7s
    sha256sum -c --quiet tagmanifest-sha256.txt && sha256sum -c --quiet manifest-sha256.txt && echo ALL FILES OK
    openssl cms -verify -binary -inform DER -in data/head.json.p7s -content data/head.json -CAfile root-certificate.pem -out /dev/null
    python3 -I verify_log.py
    python3 -I verify_complete.py
    python3 -I verify_tables.py
    python3 -I verify_signatures.py
    python3 -I verify_competences.py
{new_roots}{revocations}{time_stamp}
verify_competences.py says whether whoever made a record, signed a report or returned equipment to
service held a competence that was valid on that day.
verify_complete.py says "COMPLETE but" and ends with 3 where files of evidence are missing for any
reason but a disposal of which the log tells.
On a Mac use "shasum -a 256 -c" in place of "sha256sum -c --quiet". Files that no manifest names
(there must be none besides tagmanifest-sha256.txt and signatures/):

    comm -23 <(find . -type f | sed 's|^\\./||' | LC_ALL=C sort) <(cut -c67- manifest-sha256.txt tagmanifest-sha256.txt | LC_ALL=C sort)

ON WINDOWS
In PowerShell, inside this folder. First the seal, with what Windows brings along; the two
fingerprints must be the same, and the last line must say True:

  Add-Type -AssemblyName System.Security
  $bytes = [IO.File]::ReadAllBytes("$pwd/tagmanifest-sha256.txt")
  $told = New-Object System.Security.Cryptography.Pkcs.ContentInfo (,$bytes)
  $cms = New-Object System.Security.Cryptography.Pkcs.SignedCms $told, $true
  $cms.Decode([IO.File]::ReadAllBytes("$pwd/signatures/tagmanifest-sha256.txt.p7s"))
  $cms.CheckSignature($true)
  $root = New-Object System.Security.Cryptography.X509Certificates.X509Certificate2 "$pwd/root-certificate.pem"
  $sha = [System.Security.Cryptography.SHA256]::Create()
  ([BitConverter]::ToString($sha.ComputeHash($root.RawData)) -replace "-", ":")
  "{root_fingerprint}"
  $chain = New-Object System.Security.Cryptography.X509Certificates.X509Chain
  $chain.ChainPolicy.RevocationMode = "NoCheck"
  $chain.ChainPolicy.VerificationFlags = "AllowUnknownCertificateAuthority"
  $null = $chain.ChainPolicy.ExtraStore.Add($root)
  $chain.Build($cms.SignerInfos[0].Certificate) -and $chain.ChainElements[$chain.ChainElements.Count - 1].Certificate.Equals($root)

CheckSignature says nothing where the signature holds, and an error where it does not. Then every
file; nothing but ALL FILES OK must be printed, and no file may lie here that neither list names:

  $bad = foreach ($list in "tagmanifest-sha256.txt", "manifest-sha256.txt") {{
   Get-Content -Encoding UTF8 $list | ForEach-Object {{
      $hash, $name = $_ -split "  ", 2
      if ((Get-FileHash -LiteralPath $name -Algorithm SHA256 -ErrorAction SilentlyContinue).Hash -ne $hash) {{ "CHANGED $name" }} }} }}
  if ($bad) {{ $bad }} else {{ "ALL FILES OK" }}

One file alone: certutil -hashfile data/log.jsonl SHA256. The scripts run with "py -3 -I
verify_log.py" and so on, where Python is there; "openssl" and "pdfsig" take the same commands as
below and above wherever they are installed. These lines of PowerShell were written from its
documentation and were not tried on a Windows machine.

Signed reports, for each PDF. Read what it says: it ends without an error even on a changed file.
It must say "Signature is Valid" and "Certificate is Trusted" of each signature, and "Total document
signed" of one of them. A time stamp on the whole document, which is there where the venue has a time-stamp
authority, comes last; older versions of pdfsig cannot check it and call it "not yet been verified".

    mkdir trust && certutil -N -d sql:trust --empty-password && certutil -A -d sql:trust -n root -t "C,C,C" -i root-certificate.pem
    pdfsig -nssdir sql:trust data/reports/report-1.pdf
    pdfdetach -save 1 -o record.json data/reports/report-1.pdf && sha256sum record.json

The last number is the one printed at the foot of every page of that report.

The signature of a check, by hand (verify_signatures.py does it for all). In its folder below
data/signatures/, for a key whose algorithm in signatures.csv is ES256 or RS256:

    openssl dgst -sha256 -verify public-key.pem -signature signature.bin signed-bytes.bin
    tail -c 32 signed-bytes.bin | od -An -v -tx1 | tr -d ' \\n'; echo; sha256sum client-data.json message.json

The first must say "Verified OK". The last 32 of the signed bytes are the SHA-256 of
client-data.json. Its "challenge" is the SHA-256 of message.json in base64url, and the record in
data/records/ names the same as phone.message_sha256. So the key signed exactly this message. The
log has a line "sign_check" with the SHA-256 of public-key.pem, written when it arrived.

That a reference of data/names.csv stands for the name beside it can be tried by hand:

    grep -c "$(printf '%s %s' SALT 'NAME' | sha256sum | cut -d' ' -f1)" data/names.csv

with salt and name of the row in their places: 1 says that the reference is that of this name.

Keep the size and root that verify_log.py prints at its end, away from the venue. With the next
bundle, or with the size and root ("Venue's log") that a report of the venue printed, say

    python3 -I verify_log.py --kept {log_size} {log_root}

with your own two figures in place of these, which are of this bundle. KEPT OK: the log still
begins with the lines it had then. If it does not, the log was rewritten in between. A proof that
the venue gives you by itself (proof.json) is checked by verify_proof.py, which says how.

WHAT THIS SHOWS, AND WHAT NOT
The seal and the hashes show that these files are as the venue's installation wrote them. The
root certificate is the venue's own; nobody outside has checked whose it is. The times are the
clock of the venue's server. The log shows later changes to it only to somebody who kept an
earlier root.
A passkey's signature shows that a device which holds that key confirmed exactly those bytes. Whose
key it is, is known from the venue's book alone. It is not offered as an advanced or qualified
electronic signature in the sense of any law, and it does not say that the signer was competent or
the check right. Of a password only the book says that it was typed. "Nobody" means nobody.
"""


NEW_ROOTS = """
THE VENUE HAS HAD MORE THAN ONE ROOT. If the fingerprint that you were told is that of an older one
in roots/, follow from it to root-certificate.pem: each root signed the fingerprint of the next.
{commands}
The first command must give the fingerprint you know; the last must be the new_root_sha256 of the
statement before it, and that of root-certificate.pem. Then, for what older roots stand behind:

    cat root-certificate.pem roots/root-*.pem > ../all-roots.pem && cat revocations.pem roots/revocations-*.pem > ../all-lists.pem
    openssl verify -crl_check -attime {moment} -CAfile ../all-roots.pem -CRLfile ../all-lists.pem certificates/*.pem

Where pdfsig is told of the root below, tell it of each roots/root-*.pem too. "-nointern -certfile" makes the old root
itself the only signer that counts: a seal of it may not hand over. What was signed before a new root
came, reports above all, holds against the older root. If the venue told you that an old root cannot be
trusted any more (its key was lost to somebody), do not follow; have the new fingerprint told again.
"""
OF_EACH = """
    openssl x509 -in roots/root-{before}.pem -noout -fingerprint -sha256
    openssl cms -verify -binary -purpose any -nointern -certfile roots/root-{before}.pem -inform DER -in roots/new-root-{number}.json.p7s -content roots/new-root-{number}.json -CAfile roots/root-{before}.pem -out /dev/null
    openssl x509 -in roots/root-{number}.pem -noout -fingerprint -sha256
"""


REVOCATIONS = """
Which certificates of the venue were revoked when this bundle was made. certificates/ holds every one
the venue ever sealed with. Each must be "OK" (where there was more than one root, by the command told
there); of one that is "revoked" read below.

    openssl verify -crl_check -attime {moment} -CAfile root-certificate.pem -CRLfile revocations.pem certificates/*.pem
    openssl crl -in revocations.pem -noout -text

Get a newer list from {address}
(openssl crl -inform DER -in FILE.crl -out revocations.pem) and leave out -attime: a seal may have been
revoked since. The "Revocation Date" is the time from which a certificate is not trusted. Something that
a revoked one signed is good only where the time stamp of an authority is older than that time; its
own "signing time" proves nothing, for whoever has the key can write any. "openssl" calls the
certificate revoked in either case; compare the two times.
"""


TIME_STAMP = """
When these files existed, by the clock of an authority outside of the venue. The root certificate
of that authority lies here; compare it with the one the authority publishes.

    openssl ts -verify -token_in -in signatures/tagmanifest-sha256.txt.tst -data tagmanifest-sha256.txt -CAfile time-stamp-root.pem
    openssl ts -reply -token_in -in signatures/tagmanifest-sha256.txt.tst -token_out -text
"""


def new_roots_words(roots: Sequence[object], moment: int) -> str:
    """How to follow from each root to the next; nothing where there was one."""
    steps = [
        OF_EACH.format(before=number - 1, number=number) for number in range(2, len(roots) + 1)
    ]
    return NEW_ROOTS.format(commands="".join(steps), moment=moment) if steps else ""


def readme(**said: str) -> str:
    """The page with the names, days and fingerprint filled in."""
    return README.format(**said)
