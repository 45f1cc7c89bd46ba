// reply.h - what replies are put together from.
#ifndef PM_DESK_REPLY_H
#define PM_DESK_REPLY_H

#include "base/text.h"

void reply_key(Text *reply, const char *key);           // , "key":
void reply_string(Text *reply, const char *value);      // quoted

#endif
