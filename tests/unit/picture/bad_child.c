// bad_child.c - a decoding child as one would not like it: built once to crash, once to hang, once to end in silence.
#include <stdlib.h>
#include <sys/resource.h>
#include <unistd.h>

int main(void)
{
#if defined(CHILD_CRASHES)
    struct rlimit no_core = {0, 0};
    (void)setrlimit(RLIMIT_CORE, &no_core);
    abort();
#elif defined(CHILD_HANGS)
    for (;;) pause();
#else
    return 7;
#endif
}
