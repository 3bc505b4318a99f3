-- An event is named by its digest, whole or by its first digits: its first eight bytes are enough to find it.
CREATE INDEX event_digest ON event (substr(digest, 1, 8));
