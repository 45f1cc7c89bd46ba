// decode_child.c - stands in for the program when a test lets a picture be decoded in a child.
#include "picture/picture.h"

#include <string.h>

int main(int argc, char **argv)
{
    if (argc > 1 && strcmp(argv[1], PICTURE_CHILD_WORD) == 0) return picture_child_main(argc, argv);
    return 99;
}
