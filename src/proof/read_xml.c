// read_xml.c - see read_xml.h.
#include "proof/read_xml.h"

#include <string.h>

XmlReader xml_make(const char *bytes, size_t size_bytes)
{
    XmlReader xml = {.begin = bytes, .at = bytes, .end = bytes + size_bytes};
    if (size_bytes >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) xml.at += 3;
    return xml;
}

bool xml_is(XmlText text, const char *word)
{
    return text.size_bytes == strlen(word) && memcmp(text.at, word, text.size_bytes) == 0;
}

const XmlText *xml_attribute(const XmlReader *xml, const char *name)
{
    for (int i = 0; i < xml->attribute_count; i++)
        if (xml_is(xml->attributes[i].name, name)) return &xml->attributes[i].value;
    return NULL;
}

static XmlToken wrong(XmlReader *xml, const char *problem)
{
    xml->problem = problem;
    return XML_WRONG;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static bool is_name_byte(char c, bool first)
{
    if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == ':' || (unsigned char)c >= 0x80)
        return true;
    return !first && ((c >= '0' && c <= '9') || c == '-' || c == '.');
}

static void skip_blanks(XmlReader *xml)
{
    while (xml->at < xml->end && is_blank(*xml->at)) xml->at++;
}

static bool starts(const XmlReader *xml, const char *word)
{
    size_t n = strlen(word);
    return (size_t)(xml->end - xml->at) >= n && memcmp(xml->at, word, n) == 0;
}

// Moves behind the word; false when it does not come.
static bool skip_past(XmlReader *xml, const char *word)
{
    size_t n = strlen(word);
    const char *found = memmem(xml->at, (size_t)(xml->end - xml->at), word, n);
    if (!found) return false;
    xml->at = found + n;
    return true;
}

static bool read_name(XmlReader *xml, XmlText *out)
{
    const char *from = xml->at;
    while (xml->at < xml->end && is_name_byte(*xml->at, xml->at == from)) xml->at++;
    *out = (XmlText){from, (size_t)(xml->at - from)};
    return out->size_bytes > 0;
}

static bool same(XmlText a, XmlText b)
{
    return a.size_bytes == b.size_bytes && memcmp(a.at, b.at, a.size_bytes) == 0;
}

// "&amp;" and "&#38;": what stands after '&' up to ';'.
static bool references_are_whole(XmlText text)
{
    const char *at = text.at, *end = text.at + text.size_bytes;
    while ((at = memchr(at, '&', (size_t)(end - at)))) {
        const char *from = ++at;
        while (at < end && (is_name_byte(*at, false) || *at == '#')) at++;
        if (at == from || at == end || *at != ';') return false;
    }
    return true;
}

static const char *read_attributes(XmlReader *xml)
{
    xml->attribute_count = 0;
    for (;;) {
        const char *before = xml->at;
        skip_blanks(xml);
        if (xml->at == xml->end) return "a tag does not end";
        if (*xml->at == '>' || *xml->at == '/') return NULL;
        if (before == xml->at) return "a blank is missing between attributes";
        if (xml->attribute_count == XML_MAX_ATTRIBUTES) return "a tag has too many attributes";
        XmlAttribute a;
        if (!read_name(xml, &a.name)) return "an attribute has no name";
        skip_blanks(xml);
        if (xml->at == xml->end || *xml->at != '=') return "an attribute has no value";
        xml->at++;
        skip_blanks(xml);
        if (xml->at == xml->end || (*xml->at != '"' && *xml->at != '\'')) return "an attribute's value has no quotes";
        char quote = *xml->at++;
        const char *close = memchr(xml->at, quote, (size_t)(xml->end - xml->at));
        if (!close) return "an attribute's value does not end";
        a.value = (XmlText){xml->at, (size_t)(close - xml->at)};
        xml->at = close + 1;
        if (memchr(a.value.at, '<', a.value.size_bytes) || !references_are_whole(a.value))
            return "an attribute's value holds a bare '<' or '&'";
        for (int i = 0; i < xml->attribute_count; i++)
            if (same(xml->attributes[i].name, a.name)) return "an attribute is there twice";
        xml->attributes[xml->attribute_count++] = a;
    }
}

static XmlToken read_start(XmlReader *xml)
{
    xml->at++;
    if (!read_name(xml, &xml->name)) return wrong(xml, "a tag has no name");
    if (xml->depth == 0 && xml->had_root) return wrong(xml, "there is more than one outermost element");
    if (xml->depth == XML_MAX_DEPTH) return wrong(xml, "elements are nested too deeply");
    const char *problem = read_attributes(xml);
    if (problem) return wrong(xml, problem);
    if (*xml->at == '/') {
        xml->at++;
        xml->closes_itself = true;
    }
    if (xml->at == xml->end || *xml->at != '>') return wrong(xml, "a tag does not end");
    xml->at++;
    xml->had_root = true;
    xml->open[xml->depth++] = xml->name;
    return XML_START;
}

static XmlToken read_end(XmlReader *xml)
{
    xml->at += 2;
    if (!read_name(xml, &xml->name)) return wrong(xml, "an end tag has no name");
    skip_blanks(xml);
    if (xml->at == xml->end || *xml->at != '>') return wrong(xml, "an end tag does not end");
    xml->at++;
    if (xml->depth == 0 || !same(xml->open[xml->depth - 1], xml->name)) return wrong(xml, "an end tag does not match");
    xml->depth--;
    return XML_END;
}

static XmlToken read_characters(XmlReader *xml)
{
    const char *from = xml->at, *next = memchr(xml->at, '<', (size_t)(xml->end - xml->at));
    xml->at = next ? next : xml->end;
    XmlText text = {from, (size_t)(xml->at - from)};
    xml->only_blanks = true;
    for (size_t i = 0; i < text.size_bytes; i++)
        if (!is_blank(text.at[i])) xml->only_blanks = false;
    if (!xml->only_blanks && xml->depth == 0) return wrong(xml, "there is text outside the outermost element");
    if (!references_are_whole(text)) return wrong(xml, "text holds a bare '&'");
    return XML_CHARACTERS;
}

XmlToken xml_next(XmlReader *xml)
{
    if (xml->closes_itself) {
        xml->closes_itself = false;
        xml->name = xml->open[--xml->depth];
        return XML_END;
    }
    while (xml->at < xml->end) {
        if (*xml->at != '<') return read_characters(xml);
        if (starts(xml, "<!--")) {
            xml->at += 4;
            if (!skip_past(xml, "-->")) return wrong(xml, "a comment does not end");
        } else if (starts(xml, "<?")) {
            xml->at += 2;
            if (!skip_past(xml, "?>")) return wrong(xml, "a processing instruction does not end");
        } else if (starts(xml, "<!")) {
            return wrong(xml, "declarations are not allowed");
        } else {
            return starts(xml, "</") ? read_end(xml) : read_start(xml);
        }
    }
    if (xml->depth > 0) return wrong(xml, "the file ends before its elements are closed");
    return xml->had_root ? XML_DONE : wrong(xml, "there is no element");
}
