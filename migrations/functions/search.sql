-- Names as they are compared: accents, case and the ways of writing one letter aside. By itself rather than by
-- the extension unaccent, which not every server has; and alike on all servers, whatever their locale is.

-- Of letters that are not all of ASCII.
CREATE OR REPLACE FUNCTION folded_letters(written text) RETURNS text LANGUAGE plpgsql IMMUTABLE STRICT PARALLEL SAFE AS $$
BEGIN
    -- Letter and accent apart (wide and joined forms become plain ones), then without the accents.
    written := regexp_replace(normalize(written, NFKD), '[\u0300-\u036f\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff]', '', 'g');
    -- Letters that are no letter with an accent to Unicode, and capitals that are not of ASCII.
    written := translate(written COLLATE "C",
        'øØłŁđĐðÐħĦŧŦıƒΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣςΤΥΦΧΨΩАБВГДЕЖЗИКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯЄІЂЈЉЊЋЏ',
        'oollddddhhttifαβγδεζηθικλμνξοπρσστυφχψωабвгдежзиклмнопрстуфхцчшщъыьэюяєіђјљњћџ');
    written := replace(replace(replace(replace(written, 'ß', 'ss'), 'ẞ', 'ss'), 'æ', 'ae'), 'Æ', 'ae');
    written := replace(replace(replace(replace(written, 'œ', 'oe'), 'Œ', 'oe'), 'þ', 'th'), 'Þ', 'th');
    RETURN lower(written COLLATE "C");
END $$;

-- Built of nothing but Postgres's own functions for what is of ASCII alone, so that it is worked out where it stands
-- (a function of SQL is taken in by the statement, by an index and by a column that is generated; a strict one is not).
CREATE OR REPLACE FUNCTION folded(written text) RETURNS text LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT CASE WHEN octet_length(written) = length(written) THEN lower(written COLLATE "C")
                ELSE public.folded_letters(written) END
$$;

-- What a dog is searched by: its names, its chip and its numbers in registers, a line each.
CREATE OR REPLACE FUNCTION all_dog_words(name text, call_name text, chip_number text, registrations jsonb) RETURNS text
LANGUAGE plpgsql IMMUTABLE PARALLEL SAFE AS $$
DECLARE
    words text := coalesce(name, '') || E'\n' || coalesce(call_name, '') || E'\n' || coalesce(chip_number, '');
BEGIN
    IF registrations <> '[]' THEN
        words := words || E'\n' || (SELECT string_agg(one->>'number', E'\n') FROM jsonb_array_elements(registrations) AS one);
    END IF;
    RETURN public.folded(words);
END $$;

-- The same; of names of ASCII and without a register it is worked out where it stands.
CREATE OR REPLACE FUNCTION dog_words(name text, call_name text, chip_number text, registrations jsonb) RETURNS text
LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT CASE WHEN registrations = '[]' AND coalesce(octet_length(name) = length(name), true)
                     AND coalesce(octet_length(call_name) = length(call_name), true)
                     AND coalesce(octet_length(chip_number) = length(chip_number), true)
                THEN lower((coalesce(name, '') || E'\n' || coalesce(call_name, '') || E'\n' || coalesce(chip_number, '')) COLLATE "C")
                ELSE public.all_dog_words(name, call_name, chip_number, registrations) END
$$;
