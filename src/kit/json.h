// json.h - kit.json: everything about a kit that a program wants to know; docs/kit-format.md, docs/kit.schema.json.
#ifndef PM_KIT_JSON_H
#define PM_KIT_JSON_H

#include "kit/draft.h"

MUST_USE bool json_kit(const Draft *draft, Arena *keep, FileBytes *out, Error *err);

#endif
