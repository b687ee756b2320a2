"""The air between host and sensor for tests: faults at the radio, and a stand-in for the Linux Bluetooth daemon.

route A   RadioSource ─ bleak ─ sensor.virtual.backend ──────────────────────► bumble host ═ sensor's process
route B   RadioSource ─ bleak, as it is ─ D-Bus ─ stand-in (own process) ────► bumble host ═ sensor's process
                                          │                                       │
                                   faults of the daemon                    faults of the air (`faults`)
"""
