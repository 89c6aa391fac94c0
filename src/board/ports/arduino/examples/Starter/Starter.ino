/*
 * The starter as a sketch: a board that drives the virtual drill over its serial port.
 *
 * CAUTION. No motor and no power stage on this board while it is linked: the drill answers as if one were turning.
 *
 * On the host: npm run sim -- run scenarios/seat-and-remove-screw.yaml --controller serial:/dev/ttyACM0
 */
#include <phantom_stream.h>
#include <starter.h>

static PhantomStream<Stream> port(Serial);
static starter drill;

void setup()
{
    Serial.begin(1000000);
    starter_init(&drill, STARTER_SIX_STEP, "sketch", port.put, &port);
    phantom_board_hello(&drill.board);
}

void loop()
{
    port.poll(drill.board);
}
