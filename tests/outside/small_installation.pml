/*
 * A small installation: one crush between an entry gate and a head bail,
 * with a hand-worked rear access gate, and the control that drives the two
 * hydraulic parts.
 *
 * One pass through the loop is one turn: events, scan, plant.  The pass is
 * one atomic step that never blocks (every choice in it has "nothing" as an
 * alternative), so what is stored is exactly what stands at the beginning of
 * a turn.  All starting values are set where the variables are declared, so
 * the first stored state already is "the beginning"; no extra state is added.
 *
 * Everything that lives only within a turn ("scratch") is set back to zero
 * at the end of the turn, so that it is the same in every stored state.
 *
 * BAD = 1..6 asserts that one bad state never occurs; 0 asserts nothing.
 * DUMP writes every state met at the beginning of a turn to files at exit.
 */

#ifndef BAD
#define BAD 0
#endif

/* Positions of entry gate and bail; one move is one step up or down. */
#define CLOSED   0
#define BETWEEN  1
#define OPEN     2

/* ---- Plant: part of the state ------------------------------------------ */

byte entry_gate = CLOSED;
byte bail       = CLOSED;
bool rear_gate_open      = false;

byte in_crush            = 0;      /* animals wholly in the crush: 0, 1, 2 */
bool across_entry        = false;  /* an animal stands across the entry line */
bool across_bail         = false;  /* a body stands across the bail line */
bool neck_in_bail        = false;
bool person_rear         = false;  /* a person is in the rear space */
bool person_front        = false;  /* a person stands in front of the bail */

/* ---- Control: remembered from scan to scan, part of the state ------------ */

bool hands_free            = false;
bool ready                 = false;
bool last_reset            = false;
bool last_rear_gate_shut   = false;  /* true: sensor saw the gate shut */
bool cleared               = false;
bool last_rear_reset       = false;

/* ---- Scratch of one turn: all zero between turns -------------------------- */

/* events */
bool press_entry_open, press_entry_close;
bool press_bail_open,  press_bail_close;
bool press_reset, press_rear_reset, press_stop;
byte events;

/* inside the scan */
bool sees_rear_gate_shut, reset_let_go, rear_reset_let_go, changed;
bool want_entry_open, want_entry_close, want_bail_open, want_bail_close;

/* result of the scan, stays until the next one */
bool drive_entry_open, drive_entry_close, drive_bail_open, drive_bail_close;

byte moves_left;


#ifdef DUMP
c_code {
	/* One byte for each thinkable state; written out when the run ends.
	 * None of this is part of the state.
	 * seen.txt: one line of 18 numbers for each state met.
	 * seen.bin: the array itself; the first number of a line is the
	 *           highest of the 18 bits of the index, the last the lowest. */
	static unsigned char seen[1 << 18];
	static int seen_started = 0;

	static void write_seen(void)
	{
		FILE *text = fopen("seen.txt", "w");
		FILE *raw  = fopen("seen.bin", "wb");
		int i, b;

		if (text) {
			for (i = 0; i < (1 << 18); i++) {
				if (!seen[i]) continue;
				for (b = 17; b >= 0; b--)
					fprintf(text, "%d%c", (i >> b) & 1, b ? ' ' : '\n');
			}
			fclose(text);
		}
		if (raw) {
			fwrite(seen, 1, sizeof seen, raw);
			fclose(raw);
		}
	}

	static void mark_seen(const int *bits)
	{
		int i, index = 0;

		if (!seen_started) {
			seen_started = 1;
			atexit(write_seen);
		}
		for (i = 0; i < 18; i++)
			index = 2 * index + (bits[i] ? 1 : 0);
		seen[index] = 1;
	}
};
#endif


/* ---- Events --------------------------------------------------------------- */

/* The button is pressed in this scan or not; at most two events in a turn. */
inline may_press(button, allowed)
{
	if
	:: d_step { events < 2 && allowed -> button = true; events++ }
	:: skip
	fi
}

inline choose_events()
{
	may_press(press_entry_open,  true);
	may_press(press_entry_close, true);
	may_press(press_bail_open,   true);
	may_press(press_bail_close,  true);
	may_press(press_reset,       true);
	may_press(press_rear_reset,  !person_rear);  /* button is outside */
	may_press(press_stop,        true)
}


/* ---- Scan: no choice in it ------------------------------------------------ */

inline scan()
{
	d_step {
		sees_rear_gate_shut = !rear_gate_open;

		reset_let_go = last_reset && !press_reset;
		last_reset   = press_reset;

		ready = !press_stop && (ready || reset_let_go);

		changed             = (sees_rear_gate_shut != last_rear_gate_shut);
		last_rear_gate_shut = sees_rear_gate_shut;

		hands_free = ready && !changed &&
			(hands_free ||
			    !(press_entry_open || press_entry_close ||
			         press_bail_open || press_bail_close));

		rear_reset_let_go = last_rear_reset && !press_rear_reset;
		last_rear_reset   = press_rear_reset;

		cleared = sees_rear_gate_shut && (cleared || rear_reset_let_go);

		want_entry_open  = hands_free && press_entry_open;
		want_entry_close = hands_free && press_entry_close;
		want_bail_open   = hands_free && press_bail_open;
		want_bail_close  = hands_free && press_bail_close;

		drive_entry_open  = want_entry_open  && !want_entry_close &&
			ready && sees_rear_gate_shut && cleared;
		drive_entry_close = want_entry_close && !want_entry_open &&
			ready && !across_entry;
		drive_bail_open   = want_bail_open   && !want_bail_close &&
			ready;
		drive_bail_close  = want_bail_close  && !want_bail_open &&
			ready && !across_bail;

		moves_left = 2 - events
	}
}


/* ---- Bad states: looked at in every scan, with what it drives ------------- */

#define person_among_animals \
	(person_rear && (entry_gate != CLOSED || drive_entry_open))

#define presses_in_reach \
	(person_front && drive_bail_close && bail != CLOSED && !press_bail_close)

#define opens_toward \
	(person_front && drive_bail_open && bail != OPEN && !press_bail_open)

#define closes_on_animal \
	(across_entry && drive_entry_close && entry_gate != CLOSED)

#define closes_on_trunk \
	(across_bail && drive_bail_close && bail != CLOSED)

#define moves_while_stopped \
	(press_stop && (drive_entry_open || drive_entry_close \
	                || drive_bail_open || drive_bail_close))

inline look_for_bad()
{
#if BAD == 1
	assert(!(person_among_animals));
#endif
#if BAD == 2
	assert(!(presses_in_reach));
#endif
#if BAD == 3
	assert(!(opens_toward));
#endif
#if BAD == 4
	assert(!(closes_on_animal));
#endif
#if BAD == 5
	assert(!(closes_on_trunk));
#endif
#if BAD == 6
	assert(!(moves_while_stopped));
#endif
	skip
}


/* ---- Plant: one move, or none --------------------------------------------- */

#define may_move  (moves_left > 0)

inline one_move()
{
	if
	:: skip                                       /* no move */

	/* Driven parts.  Whatever stands across the line holds off only the
	 * last step to closed. */
	:: d_step { may_move && drive_entry_open && entry_gate != OPEN ->
		entry_gate++; moves_left-- }
	:: d_step { may_move && drive_entry_close &&
	            (entry_gate == OPEN ||
	                (entry_gate == BETWEEN && !across_entry)) ->
		entry_gate--; moves_left-- }
	:: d_step { may_move && drive_bail_open && bail != OPEN ->
		bail++; moves_left-- }
	:: d_step { may_move && drive_bail_close &&
	            (bail == OPEN ||
	                (bail == BETWEEN && !across_bail)) ->
		bail--; moves_left-- }

	/* entry begin */
	:: d_step { may_move && entry_gate == OPEN && !across_entry &&
	            in_crush < 2 &&
	            in_crush + across_entry + across_bail < 3 ->
		across_entry = true; moves_left-- }
	/* entry finish */
	:: d_step { may_move && across_entry && in_crush < 2 ->
		across_entry = false; in_crush++; moves_left-- }
	/* entry turn back */
	:: d_step { may_move && across_entry ->
		across_entry = false; moves_left-- }
	/* entry back out: a lone animal held by its neck cannot */
	:: d_step { may_move && !across_entry && entry_gate == OPEN &&
	            in_crush >= 1 &&
	            !(neck_in_bail && bail == CLOSED && in_crush < 2) ->
		in_crush--; across_entry = true; neck_in_bail = false; moves_left-- }

	/* bail begin */
	:: d_step { may_move && !across_bail && bail == OPEN && in_crush >= 1 ->
		in_crush--; across_bail = true; neck_in_bail = false; moves_left-- }
	/* bail finish */
	:: d_step { may_move && across_bail ->
		across_bail = false; moves_left-- }
	/* bail turn back */
	:: d_step { may_move && across_bail && in_crush < 2 ->
		across_bail = false; in_crush++; moves_left-- }

	/* neck in, neck out */
	:: d_step { may_move && !neck_in_bail && in_crush >= 1 && bail != CLOSED ->
		neck_in_bail = true; moves_left-- }
	:: d_step { may_move && neck_in_bail ->
		neck_in_bail = false; moves_left-- }

	/* rear enter, rear leave */
	:: d_step { may_move && !person_rear && rear_gate_open ->
		person_rear = true; moves_left-- }
	:: d_step { may_move && person_rear ->
		person_rear = false; moves_left-- }

	/* front enter, front leave */
	:: d_step { may_move && !person_front ->
		person_front = true; moves_left-- }
	:: d_step { may_move && person_front ->
		person_front = false; moves_left-- }

	/* rear access opens, rear access shuts */
	:: d_step { may_move && !rear_gate_open ->
		rear_gate_open = true; moves_left-- }
	:: d_step { may_move && rear_gate_open ->
		rear_gate_open = false; moves_left-- }
	fi
}


inline clear_scratch()
{
	d_step {
		press_entry_open = false;  press_entry_close = false;
		press_bail_open  = false;  press_bail_close  = false;
		press_reset = false;  press_rear_reset = false;  press_stop = false;
		events = 0;

		sees_rear_gate_shut = false;
		reset_let_go = false;  rear_reset_let_go = false;  changed = false;
		want_entry_open = false;  want_entry_close = false;
		want_bail_open  = false;  want_bail_close  = false;

		drive_entry_open = false;  drive_entry_close = false;
		drive_bail_open  = false;  drive_bail_close  = false;

		moves_left = 0
	}
}


active proctype installation()
{
	do
	:: atomic {
#ifdef DUMP
		c_code {
			int bits[18];
			bits[0]  = now.hands_free;
			bits[1]  = now.ready;
			bits[2]  = now.last_reset;
			bits[3]  = now.last_rear_gate_shut;
			bits[4]  = now.cleared;
			bits[5]  = now.last_rear_reset;
			bits[6]  = now.entry_gate == CLOSED;
			bits[7]  = now.entry_gate == OPEN;
			bits[8]  = now.bail == CLOSED;
			bits[9]  = now.bail == OPEN;
			bits[10] = now.rear_gate_open;
			bits[11] = now.in_crush >= 1;
			bits[12] = now.in_crush == 2;
			bits[13] = now.across_entry;
			bits[14] = now.across_bail;
			bits[15] = now.neck_in_bail;
			bits[16] = now.person_rear;
			bits[17] = now.person_front;
			mark_seen(bits);
		};
#endif
		choose_events();
		scan();
		look_for_bad();
		one_move();
		one_move();
		clear_scratch()
	   }
	od
}
