/* The board's side of a link; see phantom_board.h. */
#include "phantom_board.h"

#define PACKET_BYTES 64u /* a full packet of USB full speed; 512 of high speed is a multiple of it */

void phantom_board_init(phantom_board *b, const phantom_hello *hello, phantom_put *put, void *port, phantom_tick *tick,
                        void *self)
{
    memset(b, 0, sizeof *b);
    phantom_receiver_init(&b->receiver);
    b->hello = hello;
    b->put = put;
    b->port = port;
    b->tick = tick;
    b->self = self;
}

/*
 * The payload is encoded at the end of the room for its frame, which is then written from the start: it never catches
 * up with what is still to be read (phantom_framing.h), and one buffer does.
 */
static uint8_t *payload_room(phantom_board *b, size_t most)
{
    return b->wire + PHANTOM_WIRE_MOST(most) - most;
}

static void send_frame(phantom_board *b, uint8_t id, const uint8_t *payload, size_t size)
{
    if (b->messages) {
        b->put(b->port, b->wire, phantom_packet_seal(id, payload, size, b->wire));
        return;
    }
    size_t n = phantom_frame_wrap(id, payload, size, b->wire);
    if (n % PACKET_BYTES == 0u) b->wire[n++] = 0;
    b->put(b->port, b->wire, n);
}

int phantom_board_hello(phantom_board *b)
{
    uint8_t *payload = payload_room(b, PHANTOM_HELLO_MOST);
    const size_t size = phantom_hello_encode(b->hello, payload, PHANTOM_HELLO_MOST);
    if (size == 0u) {
        phantom_board_note(b, PHANTOM_NOTE_FAILURE,
                           "Hello does not fit: raise PHANTOM_HELLO_MOST or shorten its texts");
        return 0;
    }
    send_frame(b, PHANTOM_HELLO_ID, payload, size);
    return 1;
}

/* Bytes of the text that fit and end with a whole character: a byte 10xxxxxx goes on with the one before it. */
static size_t text_bytes(const char *text)
{
    size_t n = strlen(text);
    if (n <= PHANTOM_TEXT_MOST) return n;
    n = PHANTOM_TEXT_MOST;
    while (n > 0u && ((uint8_t)text[n] & 0xC0u) == 0x80u) n--;
    return n;
}

void phantom_board_note(phantom_board *b, uint8_t level, const char *text)
{
    uint8_t *payload = payload_room(b, PHANTOM_NOTE_SIZE_MOST);
    const size_t n = text_bytes(text);
    payload[0] = level;
    memcpy(payload + 1, text, n);
    send_frame(b, PHANTOM_NOTE_ID, payload, n + PHANTOM_NOTE_SIZE);
}

static void set_supply(phantom_board *b, int on)
{
    b->powered = (uint8_t)on;
    b->has_drive = 0;
    if (b->power) b->power(b->self, on);
}

static void end_link(phantom_board *b)
{
    b->ended = 1;
    b->welcomed = 0;
    set_supply(b, 0);
}

void phantom_board_bye(phantom_board *b, uint8_t reason)
{
    phantom_bye bye;
    uint8_t *payload = payload_room(b, PHANTOM_BYE_SIZE);
    bye.reason = reason;
    send_frame(b, PHANTOM_BYE_ID, payload, phantom_bye_encode(&bye, payload));
    end_link(b);
}

static void on_greet(phantom_board *b)
{
    b->welcomed = 0;
    b->refused = 0;
    b->ended = 0;
    b->has_drive = 0;
    phantom_board_hello(b);
}

static void on_welcome(phantom_board *b, const phantom_receiver *r)
{
    if (!phantom_welcome_decode(&b->welcome, r->payload, r->payload_size)) return;
    b->welcomed = 1;
    b->refused = 0;
}

static void on_refuse(phantom_board *b, const phantom_receiver *r)
{
    if (!phantom_refuse_decode(&b->refuse, r->payload, r->payload_size)) return;
    b->refused = 1;
    b->welcomed = 0;
}

static void on_power(phantom_board *b, const phantom_receiver *r)
{
    phantom_power power;
    if (!phantom_power_decode(&power, r->payload, r->payload_size)) return;
    set_supply(b, (power.levels & PHANTOM_POWER_ON) != 0);
}

static void on_beat(phantom_board *b, const phantom_receiver *r)
{
    phantom_beat beat;
    uint8_t *payload = payload_room(b, PHANTOM_BEAT_SIZE);
    if (!phantom_beat_decode(&beat, r->payload, r->payload_size) || beat.levels & PHANTOM_BEAT_ANSWER) return;
    beat.levels = PHANTOM_BEAT_ANSWER;
    beat.clock = b->clock_us;
    b->beats++;
    send_frame(b, PHANTOM_BEAT_ID, payload, phantom_beat_encode(&beat, payload));
}

static void on_sense(phantom_board *b, const phantom_receiver *r)
{
    phantom_sense sense;
    uint8_t *payload = payload_room(b, PHANTOM_DRIVE_SIZE_MOST);
    if (b->ended || !phantom_sense_decode(&sense, r->payload, r->payload_size)) return;
    if (b->has_drive && memcmp(b->last, r->payload, PHANTOM_SENSE_SIZE) == 0) {
        b->repeated++;
    } else {
        memcpy(b->last, r->payload, PHANTOM_SENSE_SIZE);
        memset(&b->drive, 0, sizeof b->drive);
        b->drive.tick = sense.tick;
        b->drive.watch_count = b->hello->watch_count;
        b->tick(b->self, &sense, &b->drive);
        b->drive.tick = sense.tick;
        b->drive.watch_count = b->hello->watch_count;
        b->has_drive = 1;
    }
    b->answered++;
    send_frame(b, PHANTOM_DRIVE_ID, payload, phantom_drive_encode(&b->drive, payload));
}

static void on_scene(phantom_board *b, const phantom_receiver *r)
{
    phantom_scene scene;
    phantom_report report;
    uint8_t *payload = payload_room(b, PHANTOM_REPORT_SIZE_MOST);
    if (b->ended || !b->scene || !phantom_scene_decode(&scene, r->payload, r->payload_size)) return;
    memset(&report, 0, sizeof report);
    report.number = scene.number;
    report.watch_count = b->hello->watch_count;
    b->scene(b->self, &scene, &report);
    report.number = scene.number;
    report.watch_count = b->hello->watch_count;
    b->answered++;
    send_frame(b, PHANTOM_REPORT_ID, payload, phantom_report_encode(&report, payload));
}

static void handle(phantom_board *b)
{
    const phantom_receiver *r = &b->receiver;
    switch (r->id) {
    case PHANTOM_SENSE_ID: on_sense(b, r); break;
    case PHANTOM_SCENE_ID: on_scene(b, r); break;
    case PHANTOM_GREET_ID: on_greet(b); break;
    case PHANTOM_WELCOME_ID: on_welcome(b, r); break;
    case PHANTOM_REFUSE_ID: on_refuse(b, r); break;
    case PHANTOM_POWER_ID: on_power(b, r); break;
    case PHANTOM_BEAT_ID: on_beat(b, r); break;
    case PHANTOM_BYE_ID: end_link(b); break;
    default: break; /* the receiver lets no other through */
    }
}

int phantom_board_push(phantom_board *b, uint8_t byte)
{
    if (!phantom_receiver_push(&b->receiver, byte)) return 0;
    handle(b);
    return 1;
}

int phantom_board_message(phantom_board *b, const uint8_t *packet, size_t n)
{
    if (!phantom_receiver_message(&b->receiver, packet, n)) return 0;
    handle(b);
    return 1;
}
