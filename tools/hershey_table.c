// hershey_table.c - writes src/mark/letters_data.c from the Roman simplex font in the .jhf format:
//     hershey_table /usr/share/hershey-fonts/futural.jhf > src/mark/letters_data.c
// Format: columns 1-5 the glyph's number, 6-8 the count of pairs, then pairs of letters offset from 'R': first the left
// and right edge, then points (x, y), y down; " R" lifts the pen. A long glyph goes on in the next line. Glyphs are
// ASCII 32, 33, ... in order.
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#define GLYPHS 95
#define MAX_PAIRS 200

static int next_char(FILE *in) // line ends are no part of a glyph
{
    int c = getc(in);
    while (c == '\n' || c == '\r') c = getc(in);
    return c;
}

static bool read_columns(FILE *in, int count, char *out)
{
    for (int i = 0; i < count; i++) {
        int c = next_char(in);
        if (c == EOF) return false;
        out[i] = (char)c;
    }
    out[count] = 0;
    return true;
}

int main(int argc, char **argv)
{
    FILE *in = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (!in) {
        fprintf(stderr, "usage: hershey_table FONT.jhf > letters_data.c\n");
        return 2;
    }
    printf("// letters_data.c - Hershey Roman simplex, written by tools/hershey_table.c; see docs/notices.md for its "
           "makers.\n"
           "// Pairs (x, y), y down, capital letters from -12 to 9; LETTERS_LIFT ends a stroke.\n"
           "#include \"mark/letters.h\"\n\nconst int8_t letters_points[] = {\n");
    int first[GLYPHS + 1] = {0}, left[GLYPHS], right[GLYPHS];
    for (int glyph = 0; glyph < GLYPHS; glyph++) {
        char number[6], count_text[4], pairs[2 * MAX_PAIRS + 1];
        if (!read_columns(in, 5, number) || !read_columns(in, 3, count_text)) return 1;
        int count = atoi(count_text);
        if (count < 1 || count > MAX_PAIRS || !read_columns(in, 2 * count, pairs)) return 1;
        left[glyph] = pairs[0] - 'R';
        right[glyph] = pairs[1] - 'R';
        printf("    /* %d */", 32 + glyph);
        for (int i = 1; i < count; i++) {
            if (pairs[2 * i] == ' ')
                printf(" LETTERS_LIFT, 0,");
            else
                printf(" %d, %d,", pairs[2 * i] - 'R', pairs[2 * i + 1] - 'R');
        }
        printf("\n");
        first[glyph + 1] = first[glyph] + count - 1;
    }
    printf("};\n\nconst LettersGlyph letters_glyphs[LETTERS_COUNT] = {\n");
    for (int glyph = 0; glyph < GLYPHS; glyph++)
        printf("    {%d, %d, %d, %d},\n", first[glyph], first[glyph + 1] - first[glyph], left[glyph], right[glyph]);
    printf("};\n");
    fclose(in);
    return 0;
}
