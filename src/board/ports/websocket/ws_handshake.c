/* Request and answer; see ws_handshake.h. */
#include "ws_handshake.h"

#include <stdio.h>
#include <string.h>

#include "sha1.h"

#define GUID "258EAFA5-E914-47DA-95CA-C5AB0DC85B11"
#define GUID_LENGTH 36u

/* Lines that count. */
#define HOST 1u
#define UPGRADE 2u
#define CONNECTION 4u
#define KEY 8u
#define VERSION 16u

static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

void ws_base64(const uint8_t *bytes, size_t n, char *out)
{
    for (size_t k = 0; k < n; k += 3) {
        const uint32_t second = k + 1 < n ? bytes[k + 1] : 0u;
        const uint32_t third = k + 2 < n ? bytes[k + 2] : 0u;
        const uint32_t three = ((uint32_t)bytes[k] << 16) | (second << 8) | third;
        *out++ = digits[three >> 18];
        *out++ = digits[(three >> 12) & 63u];
        *out++ = k + 1 < n ? digits[(three >> 6) & 63u] : '=';
        *out++ = k + 2 < n ? digits[three & 63u] : '=';
    }
    *out = '\0';
}

void ws_accept(const char *key, char out[WS_ACCEPT_LENGTH + 1u])
{
    uint8_t text[WS_KEY_LENGTH + GUID_LENGTH];
    uint8_t hash[SHA1_SIZE];
    memcpy(text, key, WS_KEY_LENGTH);
    memcpy(text + WS_KEY_LENGTH, GUID, GUID_LENGTH);
    sha1(text, sizeof text, hash);
    ws_base64(hash, sizeof hash, out);
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Compares n characters with a lower-case word, whatever the case of the former. */
static int is_word(const char *text, size_t n, const char *word)
{
    if (n != strlen(word)) return 0;
    for (size_t k = 0; k < n; k++) {
        if (lower(text[k]) != word[k]) return 0;
    }
    return 1;
}

/* Looks for a word in a list with commas. */
static int lists_word(const char *list, const char *word)
{
    while (*list) {
        list += strspn(list, " \t,");
        const size_t n = strcspn(list, ",");
        size_t end = n;
        while (end > 0 && strchr(" \t", list[end - 1])) end--;
        if (is_word(list, end, word)) return 1;
        list += n;
    }
    return 0;
}

/* Host, with or without a port, that only this machine has. */
static int is_here(const char *host)
{
    const char *tail = *host == '[' ? strchr(host, ']') : NULL;
    const size_t n = tail ? (size_t)(tail - host) + 1u : strcspn(host, ":");
    if (host[n] == ':' && strspn(host + n + 1, "0123456789") != strlen(host + n + 1)) return 0;
    if (host[n] != '\0' && host[n] != ':') return 0;
    if (is_word(host, n, "localhost") || is_word(host, n, "[::1]")) return 1;
    return n > 4 && strncmp(host, "127.", 4) == 0 && strspn(host, "0123456789.") == n;
}

static int is_origin_here(const char *origin)
{
    const char *host = strstr(origin, "://");
    return host != NULL && is_here(host + 3);
}

static int is_key(const char *text)
{
    return strlen(text) == WS_KEY_LENGTH && strspn(text, digits) == WS_KEY_LENGTH - 2u &&
           strcmp(text + WS_KEY_LENGTH - 2u, "==") == 0;
}

static int refuse(ws_handshake *h, int status, const char *why)
{
    if (h->status == 0) {
        h->status = status;
        h->why = why;
    }
    return 1;
}

static int take_first_line(ws_handshake *h)
{
    const char *tail = strrchr(h->line, ' ');
    h->begun = 1;
    if (h->cut || tail == NULL || strcmp(tail, " HTTP/1.1") != 0) return refuse(h, 400, "this is no request of HTTP/1.1");
    if (strncmp(h->line, "GET /", 5) != 0) return refuse(h, 405, "a WebSocket begins with GET");
    return 0;
}

static int once(ws_handshake *h, uint8_t which)
{
    if (h->found & which) {
        refuse(h, 400, "a line of the request came twice");
        return 0;
    }
    h->found |= which;
    return 1;
}

static void take_line(ws_handshake *h)
{
    char *value = strchr(h->line, ':');
    if (value == NULL) {
        if (!h->cut) refuse(h, 400, "a line of the request has no colon");
        return;
    }
    const size_t n = (size_t)(value - h->line);
    value += 1u + strspn(value + 1, " \t");
    for (size_t end = strlen(value); end > 0 && strchr(" \t", value[end - 1]); end--) value[end - 1] = '\0';

    if (is_word(h->line, n, "host")) {
        if (!once(h, HOST)) return;
        if (h->cut || !is_here(value)) refuse(h, 421, "the request is for another machine than this one");
    } else if (is_word(h->line, n, "origin")) {
        const int allowed = h->origin != NULL && strcmp(value, h->origin) == 0;
        if (h->cut || !(allowed || is_origin_here(value))) refuse(h, 403, "pages of other origins get no board");
    } else if (is_word(h->line, n, "upgrade")) {
        if (lists_word(value, "websocket")) h->found |= UPGRADE;
    } else if (is_word(h->line, n, "connection")) {
        if (lists_word(value, "upgrade")) h->found |= CONNECTION;
    } else if (is_word(h->line, n, "sec-websocket-version")) {
        if (strcmp(value, "13") == 0) h->found |= VERSION;
    } else if (is_word(h->line, n, "sec-websocket-key")) {
        if (!once(h, KEY)) return;
        if (h->cut || !is_key(value)) refuse(h, 400, "Sec-WebSocket-Key is not the base64 of 16 bytes");
        else memcpy(h->key, value, sizeof h->key);
    }
}

static int finish(ws_handshake *h)
{
    if ((h->found & HOST) == 0) return refuse(h, 400, "the request names no host");
    if ((h->found & UPGRADE) == 0 || (h->found & CONNECTION) == 0) return refuse(h, 426, "a drill connects here by WebSocket");
    if ((h->found & VERSION) == 0) return refuse(h, 426, "Sec-WebSocket-Version is not 13");
    if ((h->found & KEY) == 0) return refuse(h, 400, "Sec-WebSocket-Key is missing");
    return refuse(h, 101, "");
}

void ws_handshake_init(ws_handshake *h, const char *origin)
{
    memset(h, 0, sizeof *h);
    h->origin = origin;
}

int ws_handshake_push(ws_handshake *h, uint8_t byte)
{
    if (h->status != 0) return 1;
    if (++h->total > WS_REQUEST_MOST) return refuse(h, 431, "the request is longer than 16 KB");
    if (byte == '\0') return refuse(h, 400, "the request has a zero byte");
    if (byte != '\n') {
        if (h->length < WS_LINE_MOST) h->line[h->length++] = (char)byte;
        else h->cut = 1;
        return 0;
    }
    if (h->length > 0 && h->line[h->length - 1u] == '\r') h->length--;
    h->line[h->length] = '\0';
    if (!h->begun) take_first_line(h);
    else if (h->length == 0 && !h->cut) finish(h);
    else take_line(h);
    h->length = 0;
    h->cut = 0;
    return h->status != 0;
}

static const char *name_of(int status)
{
    switch (status) {
    case 403: return "Forbidden";
    case 405: return "Method Not Allowed";
    case 421: return "Misdirected Request";
    case 426: return "Upgrade Required";
    case 431: return "Request Header Fields Too Large";
    case 503: return "Service Unavailable";
    default: return "Bad Request";
    }
}

size_t ws_handshake_answer(const ws_handshake *h, char *out)
{
    int n;
    if (h->status == 101) {
        char accept[WS_ACCEPT_LENGTH + 1u];
        ws_accept(h->key, accept);
        n = snprintf(out, WS_ANSWER_MOST,
                     "HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                     "Sec-WebSocket-Accept: %s\r\n\r\n",
                     accept);
    } else {
        const char *more = h->status == 426 ? "Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\n" : "";
        n = snprintf(out, WS_ANSWER_MOST,
                     "HTTP/1.1 %d %s\r\nConnection: close\r\n%sContent-Type: text/plain; charset=utf-8\r\n"
                     "Content-Length: %zu\r\n\r\n%s\n",
                     h->status, name_of(h->status), more, strlen(h->why) + 1u, h->why);
    }
    return (size_t)n;
}
