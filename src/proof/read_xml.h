// read_xml.h - a small reader of XML start tags, end tags and attributes, for the SVG files of a kit.
// Accepts what a careful hand or another program may write (blanks, comments, an XML declaration, either quote, any
// order of attributes); refuses document type declarations, unbalanced tags and doubled attributes.
// Source:  W3C, "Extensible Markup Language (XML) 1.0", fifth edition (2008): well-formedness, of which a subset.
// Memory:  names and values point into the bytes read; nothing is allocated.
#ifndef PM_PROOF_READ_XML_H
#define PM_PROOF_READ_XML_H

#include <stdbool.h>
#include <stddef.h>

#define XML_MAX_DEPTH 64
#define XML_MAX_ATTRIBUTES 32

typedef struct XmlText {
    const char *at;
    size_t size_bytes;
} XmlText;
typedef struct XmlAttribute {
    XmlText name, value;
} XmlAttribute;

typedef enum XmlToken { XML_START, XML_END, XML_CHARACTERS, XML_DONE, XML_WRONG } XmlToken;

typedef struct XmlReader {
    const char *begin, *at, *end;
    XmlText open[XML_MAX_DEPTH]; // names of the elements that are open
    int depth;
    bool closes_itself; // an end token follows for <name/>
    bool had_root;
    XmlText name; // of the last start or end token
    XmlAttribute attributes[XML_MAX_ATTRIBUTES];
    int attribute_count;
    bool only_blanks;    // of the last characters token
    const char *problem; // of a wrong token
} XmlReader;

XmlReader xml_make(const char *bytes, size_t size_bytes);
XmlToken xml_next(XmlReader *xml);
bool xml_is(XmlText text, const char *word);
const XmlText *xml_attribute(const XmlReader *xml, const char *name); // NULL when absent

#endif
