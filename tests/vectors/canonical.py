"""Texts whose canonical form is published: by name the JSON text, the SHA-256 of its form, the bytes.

Source: RFC 8785, 3.2.2 to 3.2.4 and appendix; test data printed in
github.com/cyberphone/json-canonicalization, folder testdata. The forms are kept as their SHA-256.
"""

from __future__ import annotations

PUBLISHED: dict[str, tuple[str, str, int]] = {
    "arrays": (
        '[56, {"d": true, "10": null, "1": []}]',
        "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42", 32,
    ),
    "french": (
        '{"peach": "This sorting order", "p\\u00e9ch\\u00e9": "is wrong according to French",'
        ' "p\\u00eache": "but canonicalization MUST", "sin": "ignore locale"}',
        "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5", 130,
    ),
    "structures": (
        '{"1": {"f": {"f": "hi", "F": 5}, "\\n": 56.0}, "10": {}, "": "empty", "a": {},'
        ' "111": [{"e": "yes", "E": "no"}], "A": {}}',
        "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5", 98,
    ),
    "unicode": (
        '{"Unnormalized Unicode": "A\\u030a"}',
        "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3", 30,
    ),
    "values": (
        '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],'
        ' "string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/",'
        ' "literals": [null, true, false]}',
        "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb", 118,
    ),
    "weird": (
        '{"\\u20ac": "Euro Sign", "\\r": "Carriage Return", "\\u000a": "Newline", "1": "One",'
        ' "\\u0080": "Control\\u007f", "\\ud83d\\ude02": "Smiley",'
        ' "\\u00f6": "Latin Small Letter O With Diaeresis",'
        ' "\\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"}',
        "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1", 214,
    ),
}  # fmt: skip
