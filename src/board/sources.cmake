# Sources of the board kit and of the starter firmware, from this folder; CMakeLists.txt and zephyr/CMakeLists.txt take them.
set(KIT
    phantom_board.c
    phantom_framing.c
    phantom_hello.c)
set(STARTER
    starter/foc.c
    starter/guard.c
    starter/hall_speed.c
    starter/rotor_angle.c
    starter/six_step.c
    starter/speed_loop.c
    starter/starter.c)
