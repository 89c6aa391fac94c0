/*
 * The starter as a sketch: a board that drives the virtual drill over its serial port.
 *
 * CAUTION. No motor and no power stage on this board while it is linked: the drill answers as if one were turning.
 *
 * A faster line is worth it behind a UART: the same number here and behind the @ of serial:PATH@BAUD. Over USB of the chip
 * itself the number means nothing. On the host:
 * npm run sim -- run scenarios/seat-and-remove-screw.yaml --controller serial:/dev/ttyACM0
 */
#include <phantom_stream.h>
#include <starter.h>

static PhantomStream<Stream> port(Serial);
static starter drill;

void setup()
{
    Serial.begin(115200);
    starter_init(&drill, STARTER_SIX_STEP, "sketch", port.put, &port);
    phantom_board_hello(&drill.board);
}

void loop()
{
    port.poll(drill.board);
}
