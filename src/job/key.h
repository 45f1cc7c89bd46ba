// key.h - 128-bit names of stage results: equal keys mean equal inputs.
// Everything a stage reads goes in, field by field (never whole structs: their padding is not ours), lists with their
// counts. Keys live as long as the program runs; they are never written.
// Source:  J.-P. Aumasson, D. J. Bernstein, "SipHash: a fast short-input PRF" (INDOCRYPT 2012): SipHash-2-4 with its
//          128-bit output, and the key 00 01 ... 0f of its test values. No secret is needed here: nobody gains by a
//          collision but the maker, whose own picture would be wrong.
#ifndef PM_JOB_KEY_H
#define PM_JOB_KEY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct Key { uint64_t high, low; } Key;

typedef struct Hasher {
    uint64_t v[4];
    uint8_t rest[8];        // bytes that do not make a word yet
    size_t rest_count, size_bytes;
} Hasher;

Hasher hasher_plain(void);                  // nothing hashed yet
Hasher hasher_make(const char *stage);      // the version of the program and the stage's name hashed: one stage's key is never another's
Key hasher_key(const Hasher *hasher);       // of what was hashed so far

void hash_bytes(Hasher *hasher, const void *bytes, size_t size_bytes);
void hash_int(Hasher *hasher, int64_t value);
void hash_double(Hasher *hasher, double value); // both zeros are one
void hash_text(Hasher *hasher, const char *text); // with its length; NULL differs from ""
void hash_key(Hasher *hasher, Key key);

bool key_equal(Key a, Key b);

#endif
