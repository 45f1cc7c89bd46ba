// child.h - decoding in a child process that limits itself; how parent and child talk.
// Shape:   the child gets three descriptors: 3 = memory file with the picture's bytes, 4 = memory file for the answer,
//          5 = a pipe that closes when the child ends. The answer is a ChildAnswer, then the pixels.
#ifndef PM_PICTURE_CHILD_H
#define PM_PICTURE_CHILD_H

#include "picture/picture.h"

// Runs options->child_program on the bytes; the pixels go to `keep`.
MUST_USE bool child_read(const void *bytes, size_t size_bytes, const char *name, const PictureOptions *options,
                         Arena *keep, Work *work, Picture *out, Error *err);

#endif
