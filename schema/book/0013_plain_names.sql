-- One word for one thing: an event is effective or not; what a cylinder holds now is its current state.
ALTER TABLE standing RENAME TO current_state;
ALTER TABLE uncounted RENAME TO ineffective;
ALTER TABLE origin RENAME COLUMN counted_to TO effective_to;
