"""Text that somebody types to break a file, or by accident."""

# Formulas (OWASP ASVS 5.0.0, 1.2.10), directions and joined signs (The Unicode Standard), markup
# that a PDF maker or a browser would fetch, line breaks, and characters that no file can hold.
HOSTILE = (
    "=cmd|' /C calc'!A0",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1+1",
    '=HYPERLINK("http://weldlog.example/","x")',
    "\u202eyrubnepO\u202c \u200fRTL",
    "W" * 300,
    "Ada \U0001f9d1\U0001f3fd\u200d\U0001f3ed \U0001f525",
    "<link rel=attachment href=file:///etc/passwd><script>alert(1)</script>{{ record }}",
    'He said "no", twice; then left',
    "first\r\nsecond\nthird\rfourth",
    "http://weldlog.example/",
    "00123",
    "1e5",
    "_x0041_",
    "bell\x07 null\x00 escape\x1b delete\x7f next\x85 end",
    "\ufffe none \uffff",
)
