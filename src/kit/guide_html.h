// guide_html.h - guide.html: the guide as one file for a tablet, with ticks that the browser keeps; it asks for nothing outside.
// Shape:   frame.html with its [[slots]] filled: the picture as SVG, the steps and sheets as lists with what guide.js must know
//          in data- attributes. Without scripts it is still read from top to bottom. Steps and words are those of guide.pdf.
// Method:  a Content-Security-Policy allows the one style and the one script by their SHA-256 and nothing else (W3C, Content
//          Security Policy Level 3). The name under which ticks are kept holds a hash of picture and steps: 64-bit FNV-1a
//          (G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, "The FNV Non-Cryptographic Hash Algorithm", 2012).
#ifndef PM_KIT_GUIDE_HTML_H
#define PM_KIT_GUIDE_HTML_H

#include "base/embedded.h"
#include "kit/draft.h"

extern const EmbeddedFile guide_html_files[];   // frame.html, guide.css, guide.js

MUST_USE bool guide_html(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err);

#endif
