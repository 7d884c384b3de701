// Carries the precompiled headers of cmake/ringout.cmake; it has nothing of its own.
