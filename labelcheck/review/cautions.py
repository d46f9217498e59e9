"""What a check does not promise, said in every summary and every picture."""

CAUTION = (
    "A check of the files is no certificate. Samples may still differ, and limits that rest on common practice are "
    "not your fabricator's word. Labels that safety hangs on (polarity, voltage, fuse ratings, mains, warnings) are "
    "governed by the product's own standard and by local code: have them looked at by a licensed practitioner."
)

SHORT_CAUTION = (
    "A check is no certificate. Labels that safety hangs on (polarity, voltage, fuses, mains) are governed by "
    "the product's standard, local code and licensed practitioners."
)
