namespace Capacityplan.Core.Tests.Reading;

/// <summary>A pasted sample and what it means.</summary>
/// <param name="Name">What is odd about it.</param>
/// <param name="Text">The text.</param>
/// <param name="Seconds">The durations in it, seconds.</param>
/// <param name="Told">Words of a problem it has to have; empty where it may have none but notes on units and columns.</param>
public sealed record SamplePaste(string Name, string Text, double[] Seconds, string Told = "");

/// <summary>Samples of task durations as people paste them; all invented.</summary>
internal static class SamplePastes
{
    public static readonly SamplePaste[] All =
    [
        new("bare lines", "1.5\n2\n0.25\n", [1.5, 2, 0.25], "seconds. Is that right"),
        new("Windows line ends", "1.5 s\r\n2 s\r\n", [1.5, 2]),
        new("old line ends", "1.5 s\r2 s\r", [1.5, 2]),
        new("one line, commas", "12, 13, 14.5", [12, 13, 14.5]),
        new("commas without spaces", "12,13.5,14,9\n3,4,5,6", [12, 13.5, 14, 9, 3, 4, 5, 6]),
        new("semicolons and decimal commas", "12,5; 13,75; 9", [12.5, 13.75, 9]),
        new("decimal commas, a line each", "12,5\n13,25\n9\n", [12.5, 13.25, 9]),
        new("decimal commas with thousands", "1.012,5\n13,25\n1.000\n", [1012.5, 13.25, 1000]),
        new("spaces between thousands", "1 012,5\n13,25\n12 000,75\n", [1012.5, 13.25, 12000.75]),
        new("thousands marks", "1,012.5\n13.25\n12,000.75\n", [1012.5, 13.25, 12000.75]),
        new("open mark", "1,012\n13\n", [1012, 13], "thousands are taken"),
        new("tabs", "1\t2\t3\n4\t5\t7\n", [1, 2, 3, 4, 5, 7]),
        new("spaces", "  1   2 3\n\n 4 ", [1, 2, 3, 4]),
        new("units on values", "12.3 ms\n1.5 s\n3 µs\n250us\n", [0.0123, 1.5, 3e-6, 250e-6]),
        new("units, many a line", "12 ms 13 ms, 14ms; 2 s", [0.012, 0.013, 0.014, 2]),
        new("unit in the heading", "duration_ms\n12.5\n13\n", [0.0125, 0.013]),
        new("unit in brackets", "elapsed [us]\n12.5\n13\n", [12.5e-6, 13e-6]),
        new("quoted heading", "\"task time (ms)\"\n\"12.5\"\n\"13\"\n", [0.0125, 0.013]),
        new("comment as heading", "# durations in ms\n12.5\n13\n", [0.0125, 0.013]),
        new("heading without known words", "harbour tiles\n12.5\n13\n", [12.5, 13]),
        new("label before the list", "durations_ms = [12.5, 13, 9]", [0.0125, 0.013, 0.009]),
        new("label with colon", "tile times (ms): 12, 13, 9", [0.012, 0.013, 0.009]),
        new("unit on the last only", "12, 13, 14 ms", [0.012, 0.013, 0.014], "milliseconds, like the others"),
        new("some units", "12\n13 s\n14 ms\n", [12, 13, 0.014], "others have none"),
        new("JSON numbers", "[12.5, 13,\n 9e-1]", [12.5, 13, 0.9]),
        new("JSON texts", "[\"12 ms\", \"1.5 s\"]", [0.012, 1.5]),
        new("JSON objects", "[{\"id\": 17, \"duration_ms\": 12.5},\n{\"id\": 18, \"duration_ms\": 13}]", [0.0125, 0.013]),
        new("JSON lines", "{\"tile\":\"A7\",\"start\":1790000000,\"took\":\"12 ms\"}\n{\"tile\":\"B2\",\"start\":1790000004,\"took\":\"14 ms\"}\n", [0.012, 0.014]),
        new("JSON columns", "{\"ids\": [1, 2, 4], \"seconds\": [0.5, 0.75, 2]}", [0.5, 0.75, 2]),
        new("JSON with null", "{\"ms\": [1, null, 3]}", [0.001, 0.003], "“null” is not a duration"),
        new("CSV, one of three columns", "id,tile,duration_ms\n1,A7,12.5\n2,B2,13\n3,C1,9\n", [0.0125, 0.013, 0.009]),
        new("CSV, start and end beside it", "start_s,end_s,elapsed_s\n100,112.5,12.5\n101,114,13\n", [12.5, 13]),
        new("CSV with quotes", "tile,\"time, ms\"\n\"A, 7\",12.5\n\"B, 2\",13\n", [0.0125, 0.013]),
        new("CSV without heading, names", "A7,12.5\nB2,13\n", [12.5, 13]),
        new("CSV without heading, numbered", "1,12.5\n2,13\n3,9\n", [12.5, 13, 9]),
        new("semicolon table, decimal commas", "Kachel;Dauer (s)\nA7;12,5\nB2;13,25\n", [12.5, 13.25]),
        new("tab table, a cell missing", "tile\tms\nA7\t12.5\nB2\t\nC1\t9\n", [0.0125, 0.009], "nothing in the column"),
        new("Markdown table", "| tile | wall (s) |\n|------|---------:|\n| A7 | 12.5 |\n| B2 | 13 |\n", [12.5, 13]),
        new("aligned columns", "tile id    duration\n  A 7      12.5 ms\n  B 2      13 ms\n", [0.0125, 0.013]),
        new("dates beside it", "2026-11-24 03:00:01;12.5\n2026-11-24 03:00:09;13\n", [12.5, 13]),
        new("log lines", "tile 17 done in 12.3 ms\ntile 18 done in 9 ms\n", [0.0123, 0.009]),
        new("log lines of different lengths", "read harbour 17 in 12.3 ms\ntile 18 took 9 ms today\n", [0.0123, 0.009]),
        new("clock forms", "1:23\n0:09.5\n1:00:00\n", [83, 9.5, 3600]),
        new("ISO 8601", "PT1.5S\nPT1M\n", [1.5, 60]),
        new("compound", "1 min 5 s\n2m3s\n", [65, 123]),
        new("counts", "3 x 12 ms\n2 × 1.5 s\n0.5 s\n", [0.012, 1.5, 0.5]),
        new("zeros", "0\n0.0\n1\n", [0, 0, 1], "2 durations are 0"),
        new("negative", "1\n-2\n3\n", [1, 3], "“-2” is below 0"),
        new("not numbers", "1\nNaN\nN/A\n3\n", [1, 3], "“NaN” is not a duration"),
        new("infinite", "1\ninf\n1e999\n3\n", [1, 3], "“inf” is not a duration"),
        new("absurdly long", "1 s\n3e9 s\n", [1], "longer than 10 years"),
        new("absurdly short", "1 s\n1e-30 s\n", [1], "shorter than"),
        new("a date among numbers", "1\n2026-11-24\n3\n", [1, 3], "“2026-11-24” is not"),
        new("sums below", "12 ms\n13 ms\ntotal: 25 ms\nmean 12.5 ms\n", [0.012, 0.013], "sums the tasks up"),
        new("comments", "# warm-up 99 s\n12 s\n13 s # the second\n", [12, 13], "comment with figures"),
        new("colour codes", "\u001B[32m12 ms\u001B[0m\n\u001B[31m13 ms\u001B[0m\n", [0.012, 0.013]),
        new("byte order mark", "\uFEFFms\n12\n13\n", [0.012, 0.013]),
        new("no-break space before the unit", "12\u00A0ms\n13\u00A0ms\n", [0.012, 0.013]),
        new("digits of another script", "١٢\n١٣\n", [12, 13]),
        new("letters glued on", "12abc\n13\n", [13], "“12abc” is not a duration"),
        new("hours and minutes under hours", "hours\n1:30\n0:15\n", [5400, 900]),
        new("exponents", "1e-3\n2.5E-3\n1E+1", [0.001, 0.0025, 10]),
        new("bad count", "0 x 12 ms\n13 ms\n", [0.013], "not a count of tasks"),
        new("trailing commas", "12,\n13,\n14,\n", [12, 13, 14]),
        new("square brackets and blank lines", "[\n  1.5,\n\n  2.5\n]\n", [1.5, 2.5]),
    ];
}
