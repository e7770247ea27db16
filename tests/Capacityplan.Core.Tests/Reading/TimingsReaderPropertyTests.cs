using System.Globalization;
using System.Text;
using Capacityplan.Core.Reading;
using CsCheck;

namespace Capacityplan.Core.Tests.Reading;

public sealed class TimingsReaderPropertyTests
{
    private const string Wicked = "0123456789 .,;:|\t\n\r-+=/()[]{}\"'#%x×±µe_T\u001B\u00A0\uFEFFcoresthreadsminh─│";

    private static readonly string[] s_pieces =
    [
        "cores", "threads", "time", "real", "user", "seconds", "speedup", "run 1", "8", "16", "-j8", "12.4 s", "1h45m", "3:16:40", "1,234",
        "0", "-1", "1e999", "items/s", "8 cores", "\n", "\r\n", "\t", ",", ";", "|", "  ", " ", "[", "]", "{", "}", "\"", ": ", "\u001B[1m", "\u001B[0m", "# ", "---",
    ];

    private static readonly Gen<(int Cores, long Milliseconds)[]> s_runs = Gen.Select(
        Gen.Int[1, 512], Gen.Frequency((3, Gen.Long[1, 999_999]), (1, Gen.Long[1_000_000, 99_999_999]))).Array[2, 9];

    [Fact]
    public void Read_AnyCharacters_NamesOnlyPlacesInTheText() =>
        Gen.OneOf(Gen.String[0, 200], Gen.String[Gen.Char[Wicked], 0, 300]).ForAll(AssertPlaces, 800);

    [Fact]
    public void Read_AnyPiecesOfTimings_NamesOnlyPlacesInTheText() =>
        Gen.OneOf(s_pieces).Array[0, 60].ForAll(pieces => AssertPlaces(string.Concat(pieces)), 800);

    [Fact]
    public void Read_PasteWithPartsChanged_NamesOnlyPlacesInTheText() =>
        Gen.Select(Gen.OneOf<TimingsPaste>([.. TimingsPastes.All]), Gen.Int[0, 400], Gen.Int[0, 30], Gen.String[Gen.Char[Wicked], 0, 6]).ForAll(
            change =>
            {
                var (paste, at, length, put) = change;
                var start = Math.Min(at, paste.Text.Length);
                AssertPlaces(paste.Text.Remove(start, Math.Min(length, paste.Text.Length - start)).Insert(start, put));
            },
            800);

    /// <summary>Every line with figures, be it broken in any way, is a timing or has a problem on it or over it.</summary>
    [Fact]
    public void Read_TableWithBrokenRows_LosesNoRowInSilence() =>
        Gen.Select(
            s_runs, Gen.OneOf("-", "", "0", "-5", "12x4", "n/a", "killed", "1e999", "400 years", "5 %", "?"), Gen.OneOf("0", "-2", "2.5", "", "eight", "1-2", "9999999"),
            Gen.OneOf(",", ";", "\t", " | "), Gen.Int[0, 20]).ForAll(
            table =>
            {
                var (runs, badTime, badCores, mark, chosen) = table;
                var text = new StringBuilder($"cores{mark}seconds\n");
                for (var i = 0; i < runs.Length; i++)
                {
                    var cores = i % 3 == 1 && chosen % 2 == 0 ? badCores : runs[i].Cores.ToString(CultureInfo.InvariantCulture);
                    var time = i % 3 == 2 || i == chosen ? badTime : Seconds(runs[i].Milliseconds);
                    text.Append(CultureInfo.InvariantCulture, $"{cores}{mark}{time}\n");
                }

                var reading = TimingsReader.Read(text.ToString());
                if (reading.Timings.IsEmpty)
                    return;
                var told = reading.Problems.Select(problem => problem.Line).Concat(reading.Timings.Select(timing => (int?)timing.ValueAt.Line)).ToHashSet();
                var silent = text.ToString().Split('\n').Index().Skip(1)
                    .Where(line => line.Item.Any(char.IsDigit) && !told.Contains(line.Index + 1) && !IsCovered(reading, line.Index + 1)).ToList();
                Assert.True(silent.Count == 0, $"{text}\nsilent: {string.Join(", ", silent)}");
            },
            500);

    public static TheoryData<string> Formats => [.. s_formats.Keys];

    /// <summary>The same runs, written in any format, read back the same.</summary>
    [Theory]
    [MemberData(nameof(Formats))]
    public void Read_RunsWrittenInAFormat_AreTheSameRuns(string format) =>
        s_runs.ForAll(
            runs =>
            {
                var text = s_formats[format](runs);
                var reading = TimingsReader.Read(text);
                var read = reading.Timings.Select(timing => (timing.Timing.Cores, (long)Math.Round(1000 * timing.Timing.Seconds))).ToArray();
                Assert.True(runs.SequenceEqual(read), $"{text}\nwas read as {string.Join(" ", read)}");
                Assert.DoesNotContain(reading.Problems, problem => problem.Severity != ProblemSeverity.Note);
            },
            60);

    private static readonly Dictionary<string, Func<(int Cores, long Milliseconds)[], string>> s_formats = new()
    {
        ["comma-separated"] = runs => Table("cores,seconds\n", runs, run => $"{run.Cores},{Seconds(run.Milliseconds)}\n"),
        ["time first"] = runs => Table("wall time [s],threads\n", runs, run => $"{Seconds(run.Milliseconds)},{run.Cores}\n"),
        ["tabs, with a note"] = runs => Table("note\tworkers\telapsed (ms)\r\n", runs, run => $"warm\t{run.Cores}\t{run.Milliseconds}\r\n"),
        ["semicolons, decimal commas"] = runs => Table("Kerne;Laufzeit (s)\n", runs, run => $"{run.Cores};{Seconds(run.Milliseconds).Replace('.', ',')}\n"),
        ["Markdown"] = runs => Table("| cores | time |\n|---|---|\n", runs, run => $"| {run.Cores} | {Seconds(run.Milliseconds)} s |\n"),
        ["box-drawn"] = runs => Table("┌───┬───┐\n│ cores │ time │\n├───┼───┤\n", runs, run => $"│ {run.Cores} │ {Clock(run.Milliseconds)} │\n") + "└───┴───┘",
        ["wide gaps"] = runs => Table("cores     time\n", runs, run => $"{run.Cores,-10}{Compound(run.Milliseconds)}\n"),
        ["right-aligned"] = runs => Table("cores      seconds\n", runs, run => $"{run.Cores,5} {Seconds(run.Milliseconds),12}\n"),
        ["single spaces"] = runs => Table("", runs, run => $"{run.Cores} {Compound(run.Milliseconds)}\n"),
        ["thousands marks"] = runs => Table("cores\ttime\n", runs, run => $"{run.Cores}\t{run.Milliseconds / 1000m:#,0.000} s\n"),
        ["clock times"] = runs => Table("cores,time\n", runs, run => $"{run.Cores},{Clock(run.Milliseconds)}\n"),
        ["ISO 8601"] = runs => Table("cores,time\n", runs, run => $"{run.Cores},PT{run.Milliseconds / 60_000}M{Seconds(run.Milliseconds % 60_000)}S\n"),
        ["running text"] = runs => Table("", runs, run => $"ran on {run.Cores} cores in {Compound(run.Milliseconds)}\n"),
        ["colon"] = runs => Table("", runs, run => $"{run.Cores} threads: {Seconds(run.Milliseconds)} s\n"),
        ["one line"] = runs => Table("", runs, run => $"{run.Cores} cores: {Seconds(run.Milliseconds)} s, "),
        ["timed commands"] = runs => Table("", runs, run => $"$ time ./render -j{run.Cores}\n\nreal\t{Compound(run.Milliseconds)}\nuser\t1m0.5s\nsys\t0m0.1s\n\n"),
        ["JSON objects"] = runs => "[" + string.Join(",\n ", runs.Select(run => $"{{\"cores\": {run.Cores}, \"seconds\": {Seconds(run.Milliseconds)}}}")) + "]",
        ["JSON pairs"] = runs => "[[\"cores\",\"ms\"]," + string.Join(",", runs.Select(run => $"[{run.Cores},{run.Milliseconds}]")) + "]",
        ["JSON columns"] = runs => $"{{\"cores\":[{string.Join(",", runs.Select(run => run.Cores))}],\"ms\":[{string.Join(",", runs.Select(run => run.Milliseconds))}]}}",
        ["along the row, commas"] = runs => $"cores,{string.Join(",", runs.Select(run => run.Cores))}\nseconds,{string.Join(",", runs.Select(run => Seconds(run.Milliseconds)))}",
        ["along the row, Markdown"] = runs => $"| threads | {string.Join(" | ", runs.Select(run => run.Cores))} |\n|-|-|\n| time | {string.Join(" | ", runs.Select(run => Compound(run.Milliseconds)))} |",
        ["colours"] = runs => Table("\u001B[1mcores  time\u001B[0m\n", runs, run => $"\u001B[32m{run.Cores}\u001B[0m  \u001B[33m{Seconds(run.Milliseconds)}s\u001B[0m\n"),
        ["prose around"] = runs => Table("The nightly render, timed by hand.\n\ncores;time\n", runs, run => $"{run.Cores};{Seconds(run.Milliseconds)} s\n") + "\nNothing else ran.\n",
    };

    private static string Table(string heading, (int Cores, long Milliseconds)[] runs, Func<(int Cores, long Milliseconds), FormattableString> row) =>
        heading + string.Concat(runs.Select(run => FormattableString.Invariant(row(run))));

    private static string Seconds(long milliseconds) => (milliseconds / 1000m).ToString("0.000", CultureInfo.InvariantCulture);

    private static string Clock(long milliseconds) => FormattableString.Invariant(
        $"{milliseconds / 3_600_000}:{milliseconds / 60_000 % 60:00}:{milliseconds / 1000m % 60:00.000}");

    private static string Compound(long milliseconds) => FormattableString.Invariant($"{milliseconds / 60_000}m{milliseconds % 60_000 / 1000m:0.000}s");

    private static bool IsCovered(TimingsReading reading, int line) => reading.Problems.Any(problem =>
        problem.Message.Contains("lines ", StringComparison.Ordinal) && problem.Line <= line
        && problem.Message.Split(' ').SkipWhile(word => word != "to").Skip(1).FirstOrDefault() is { } last
        && int.TryParse(last, CultureInfo.InvariantCulture, out var end) && line <= end);

    private static void AssertPlaces(string text)
    {
        var reading = TimingsReader.Read(text);
        var lines = text.Replace("\r\n", "\n", StringComparison.Ordinal).Split('\n', '\r');
        foreach (var problem in reading.Problems.Where(problem => problem.Line is not null))
            AssertPlace(new TextSpan(problem.Line!.Value, problem.Column!.Value, problem.Length));
        foreach (var timing in reading.Timings)
        {
            AssertPlace(timing.CoresAt);
            AssertPlace(timing.ValueAt);
            Assert.True(timing.CoresAt.Length > 0 && timing.ValueAt.Length > 0);
        }

        void AssertPlace(TextSpan span)
        {
            Assert.InRange(span.Line, 1, lines.Length);
            Assert.InRange(span.Column, 1, lines[span.Line - 1].Length + 1);
            Assert.InRange(span.Length, 0, lines[span.Line - 1].Length - span.Column + 1);
        }
    }
}
