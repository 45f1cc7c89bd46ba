// guide_letters.c - see guide_letters.h. No mark of this kind is made yet.
#include "kit/guide_letters.h"

const char *guide_seam_letter(const Draft *draft, int seam)
{
    (void)draft, (void)seam;
    return "";
}
