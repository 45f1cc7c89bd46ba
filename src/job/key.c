// key.c - see key.h.
#include "job/key.h"

#include <string.h>

static uint64_t turned_left(uint64_t word, int bits)
{
    return word << bits | word >> (64 - bits);
}

static void one_round(uint64_t v[4])
{
    v[0] += v[1];
    v[2] += v[3];
    v[1] = turned_left(v[1], 13) ^ v[0];
    v[3] = turned_left(v[3], 16) ^ v[2];
    v[0] = turned_left(v[0], 32);
    v[2] += v[1];
    v[0] += v[3];
    v[1] = turned_left(v[1], 17) ^ v[2];
    v[3] = turned_left(v[3], 21) ^ v[0];
    v[2] = turned_left(v[2], 32);
}

static void rounds(uint64_t v[4], int count)
{
    for (int i = 0; i < count; i++) one_round(v);
}

static void take_word(uint64_t v[4], uint64_t word)
{
    v[3] ^= word;
    rounds(v, 2);
    v[0] ^= word;
}

static uint64_t word_at(const uint8_t *bytes)
{
    uint64_t word = 0;
    for (int i = 0; i < 8; i++) word |= (uint64_t)bytes[i] << 8 * i;
    return word;
}

Hasher hasher_plain(void)
{
    const uint64_t key[2] = {0x0706050403020100u, 0x0f0e0d0c0b0a0908u};
    return (Hasher){.v = {0x736f6d6570736575u ^ key[0], 0x646f72616e646f6du ^ key[1] ^ 0xee,
                          0x6c7967656e657261u ^ key[0], 0x7465646279746573u ^ key[1]}};
}

Hasher hasher_make(const char *stage)
{
    Hasher hasher = hasher_plain();
    hash_text(&hasher, PM_VERSION);
    hash_text(&hasher, stage);
    return hasher;
}

Key hasher_key(const Hasher *hasher)
{
    uint64_t v[4], last = (uint64_t)(hasher->size_bytes & 0xff) << 56;
    memcpy(v, hasher->v, sizeof v);
    for (size_t i = 0; i < hasher->rest_count; i++) last |= (uint64_t)hasher->rest[i] << 8 * i;
    take_word(v, last);
    v[2] ^= 0xee;
    rounds(v, 4);
    uint64_t high = v[0] ^ v[1] ^ v[2] ^ v[3];
    v[1] ^= 0xdd;
    rounds(v, 4);
    return (Key){high, v[0] ^ v[1] ^ v[2] ^ v[3]};
}

void hash_bytes(Hasher *hasher, const void *bytes, size_t size_bytes)
{
    const uint8_t *at = bytes, *end = at + size_bytes;
    hasher->size_bytes += size_bytes;
    while (at < end && hasher->rest_count > 0) {
        hasher->rest[hasher->rest_count++] = *at++;
        if (hasher->rest_count < 8) continue;
        take_word(hasher->v, word_at(hasher->rest));
        hasher->rest_count = 0;
    }
    for (; end - at >= 8; at += 8) take_word(hasher->v, word_at(at));
    while (at < end) hasher->rest[hasher->rest_count++] = *at++;
}

void hash_int(Hasher *hasher, int64_t value)
{
    hash_bytes(hasher, &value, sizeof value);
}

void hash_double(Hasher *hasher, double value)
{
    double plain = value == 0.0 ? 0.0 : value;
    hash_bytes(hasher, &plain, sizeof plain);
}

void hash_text(Hasher *hasher, const char *text)
{
    hash_int(hasher, text ? (int64_t)strlen(text) : -1);
    if (text) hash_bytes(hasher, text, strlen(text));
}

void hash_key(Hasher *hasher, Key key)
{
    hash_int(hasher, (int64_t)key.high);
    hash_int(hasher, (int64_t)key.low);
}

bool key_equal(Key a, Key b)
{
    return a.high == b.high && a.low == b.low;
}
