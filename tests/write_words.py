"""`python -m tests.write_words`: the catalogues of pages, reports and scripts, brought up to date."""

from __future__ import annotations

import os


def main() -> None:
    # What is gathered knows models, so Django must stand before it is imported.
    import django

    import tests.environment  # noqa: F401 - its settings

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    from tests.page_words import DOMAINS, LANGUAGES, texts_by_key, write

    for domain in DOMAINS:
        for each in LANGUAGES:
            texts = len(texts_by_key(domain))
            print(f"{each} {domain}: {texts} texts, {write(each, domain)} without")


if __name__ == "__main__":
    main()
