using System.Globalization;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Reading;
using CsCheck;

namespace Capacityplan.Core.Tests.Reading;

public sealed class SampleReaderTests
{
    private const string Wicked = "0123456789 .,;:|\t\n\r-+=/()[]{}\"'#%xµe_T\u001B\u00A0\uFEFFdurationmsinh─│";

    private static readonly string[] s_pieces =
    [
        "duration", "ms", " s", "id", "12.4 ms", "1h45m", "3:16", "1,234", "12,5", "0", "-1", "1e999", "\n", "\r\n", "\t", ",", ";", "|", " ", "[", "]", "{", "}",
        "\"", ": ", " x ", "# ", "total", "NaN", "\"ms\": ", "17", "\u001B[1m",
    ];

    public static TheoryData<string> Names() => [.. SamplePastes.All.Select(paste => paste.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void Read_Paste_GivesItsDurations(string name)
    {
        SamplePaste paste = SamplePastes.All.Single(one => one.Name == name);
        SampleReading reading = SampleReader.Read(paste.Text);
        string told = string.Join('\n', reading.Problems.Select(problem => $"{problem.Severity} {problem.Line}:{problem.Column} {problem.Message}"));
        Assert.True(paste.Seconds.Length == reading.Seconds.Length, $"{string.Join(' ', reading.Seconds)}\n{told}");
        for (int i = 0; i < paste.Seconds.Length; i++)
            Assert.Equal(paste.Seconds[i], reading.Seconds[i], 1e-12 * paste.Seconds[i]);
        if (paste.Told.Length > 0)
            Assert.Contains(paste.Told, told, StringComparison.Ordinal);
        else
            Assert.DoesNotContain(reading.Problems, problem => problem.Severity != ProblemSeverity.Note);
    }

    [Theory]
    [InlineData("133 x 12.3 ms\n20 x 15 ms", 153)]
    [InlineData("133 x 12.3 ms\n20 x 15 ms\n4 x 1 s\n7 x 2 s", 164)]
    [InlineData("133 × 12.3 ms\n20 x 15 ms\n9 ms\n4 x 1 s\n7 x 2 s\n1 x 3 s", 166)]
    public void Read_CountsOnEveryLine_AreNoColumns(string text, int tasks)
    {
        SampleReading reading = SampleReader.Read(text);

        Assert.Equal(tasks, reading.Count);
        Assert.Equal(0.0123, reading.Seconds[0], 1e-12);
        Assert.Empty(reading.Problems);
    }

    [Fact]
    public void Read_StreamCutAnywhere_GivesTheSame()
    {
        foreach (SamplePaste paste in SamplePastes.All)
        {
            SampleReading whole = SampleReader.Read(paste.Text);
            var scan = new SampleScan(null);
            foreach (char symbol in paste.Text)
                scan.Feed([symbol]);
            AssertSame(whole, scan.Complete());
        }
    }

    [Fact]
    public async Task ReadAsync_LongText_IsReadAsItComes()
    {
        string text = "ms\n" + string.Join('\n', Enumerable.Range(0, 40_000).Select(i => (i / 8.0).ToString(CultureInfo.InvariantCulture)));
        var progress = new List<SampleProgress>();
        SampleReading reading = await SampleReader.ReadAsync(new StringReader(text), progress: new Listed(progress), cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(40_000, reading.Count);
        Assert.Equal(39_999 / 8e3, reading.Seconds[^1], 1e-12);
        Assert.Equal(text.Length, progress[^1].Characters);
        Assert.True(progress.Count > 2 && progress[1].Values > progress[0].Values);
        Assert.Equal(1e-3, reading.UnitSeconds);

        // The same on one line that is longer than any piece, and as a column beside others.
        SampleReading oneLine = SampleReader.Read("ms\n" + string.Join(',', text.Split('\n').Skip(1)));
        Assert.Equal(reading.Seconds, oneLine.Seconds);
        SampleReading column = SampleReader.Read("tile,ms,worker\n" + string.Join('\n', text.Split('\n').Skip(1).Select(value => $"A,{value},3")));
        Assert.Equal(reading.Seconds, column.Seconds);
        Assert.Equal("ms", column.Column);
        SampleReading json = SampleReader.Read("[" + string.Join(',', text.Split('\n').Skip(1).Select(value => $"{{\"id\":3,\"ms\":{value}}}")) + "]");
        Assert.Equal(reading.Seconds, json.Seconds);
    }

    [Fact]
    public async Task ReadAsync_Cancelled_Stops() =>
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => SampleReader.ReadAsync(new StringReader("1\n2"), cancellation: new CancellationToken(true)));

    [Fact]
    public void Read_TooManyValues_AreRefusedAsAWhole()
    {
        SampleReading reading = SampleReader.Read("1999999 x 2 ms\n5 ms");
        Assert.Equal(2_000_000, reading.Count);
        Assert.Equal(2_000_000, reading.Sizes!.Count);
        reading = SampleReader.Read("1999999 x 2 ms\n5 ms\n6 ms");
        Assert.Null(reading.Sizes);
        Assert.Empty(reading.Seconds);
        Assert.Contains(reading.Problems, problem => problem.Severity == ProblemSeverity.Error && problem.Message.Contains("More than 2,000,000", StringComparison.Ordinal));
        Assert.Empty(SampleReader.Read("99999999999 x 1 s").Seconds);
    }

    [Fact]
    public void Read_ManyBadLines_NamesAHundredAndCountsTheRest()
    {
        SampleReading reading = SampleReader.Read("1 s\n" + string.Concat(Enumerable.Repeat("oops 1\n", 350)));
        Assert.Equal(101, reading.Problems.Length);
        Assert.Contains("250 more", reading.Problems[^1].Message, StringComparison.Ordinal);
        Assert.Equal((102, 2), (reading.Problems[^1].Line, reading.Problems[0].Line));
    }

    [Fact]
    public void Read_Problem_PointsAtItsPlace()
    {
        Problem problem = Assert.Single(SampleReader.Read("1 ms, 2 ms\n3 ms,  4 mz, 5 ms").Problems);
        Assert.Equal((2, 8, 4), (problem.Line, problem.Column, problem.Length));
        problem = Assert.Single(SampleReader.Read("id;ms\n1;5\n2; x7\n").Problems, one => one.Severity == ProblemSeverity.Warning);
        Assert.Equal((3, 4, 2), (problem.Line, problem.Column, problem.Length));
        problem = Assert.Single(SampleReader.Read("1 2 3\n4 -5 6", 1e-3).Problems);
        Assert.Equal((2, 3, 2), (problem.Line, problem.Column, problem.Length));
        problem = Assert.Single(SampleReader.Read("ms\n1\n9e12\n").Problems, one => one.Severity == ProblemSeverity.Warning);
        Assert.Equal((3, 1), (problem.Line, problem.Column));
    }

    [Fact]
    public void Read_UnitFromSeveralSides_TakesTheNearest()
    {
        Assert.Equal([0.001], SampleReader.Read("1", 1e-3).Seconds);
        Assert.Empty(SampleReader.Read("1", 1e-3).Problems);
        Assert.Equal([1e-6, 0.002], SampleReader.Read("us\n1\n2 ms", 60).Seconds);
        Assert.Equal(1e-6, SampleReader.Read("us\n1\n2 ms", 60).UnitSeconds);
        Assert.Null(SampleReader.Read("2 ms").UnitSeconds);
        Assert.Throws<ArgumentOutOfRangeException>(() => SampleReader.Read("1", -1));
    }

    [Theory]
    [InlineData("")]
    [InlineData("   \n\n")]
    [InlineData("no figures here")]
    [InlineData("0\n0")]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("seconds\n")]
    public void Read_NoDurations_IsAnError(string text)
    {
        SampleReading reading = SampleReader.Read(text);
        Assert.Null(reading.Sizes);
        Assert.Contains(reading.Problems, problem => problem.Severity == ProblemSeverity.Error);
    }

    [Fact]
    public void Text_OfAnySample_ReadsBackEqual()
    {
        var random = new RandomSource(4);
        double[] many = new double[60_000];
        new LognormalSizes(-9, 2).Fill(random, many);
        many[7] = 0;
        SampleSizes[] samples =
        [
            new([0.1, 1.0 / 3, 0, 1e-17, 2e8]), SampleSizes.Condense(many), SampleSizes.OfGroups([3, 0.1, 7], [1, 2, 1]),
            SampleSizes.Condense([.. many.Select(value => Math.Round(value, 4))]), new([5]),
        ];
        foreach (SampleSizes sizes in samples)
        {
            SampleReading reading = SampleReader.Read(SampleText.Of(sizes));
            Assert.Equal(sizes, reading.Sizes);
            Assert.DoesNotContain(reading.Problems, problem => problem.Severity != ProblemSeverity.Note);
        }

        Assert.True(SampleText.Of(samples[1]).Length < 600_000);
    }

    [Fact]
    public void Read_AnyCharacters_NamesOnlyPlacesInTheText() =>
        Gen.OneOf(Gen.String[0, 200], Gen.String[Gen.Char[Wicked], 0, 300]).ForAll(AssertPlaces, 1_500);

    [Fact]
    public void Read_AnyPieces_NamesOnlyPlacesInTheText() =>
        Gen.OneOf(s_pieces).Array[0, 60].ForAll(pieces => AssertPlaces(string.Concat(pieces)), 1_500);

    [Fact]
    public void Read_PasteWithPartsChanged_NamesOnlyPlacesInTheText() =>
        Gen.Select(Gen.OneOf<SamplePaste>([.. SamplePastes.All]), Gen.Int[0, 100], Gen.Int[0, 20], Gen.String[Gen.Char[Wicked], 0, 6]).ForAll(
            change =>
            {
                var (paste, at, length, put) = change;
                int start = Math.Min(at, paste.Text.Length);
                AssertPlaces(paste.Text.Remove(start, Math.Min(length, paste.Text.Length - start)).Insert(start, put));
            },
            1_500);

    /// <summary>Every number is a duration or has a problem on its line: nothing goes in silence.</summary>
    [Fact]
    public void Read_ListWithBrokenValues_LosesNoneInSilence() =>
        Gen.Select(Gen.OneOf("12", "0.5", "3 ms", "-1", "x9", "1:99", "12..5", "5 %", "7 GiB", "1e999").Array[1, 12], Gen.OneOf("\n", "; ", "\t")).ForAll(
            list =>
            {
                var (values, mark) = list;
                SampleReading reading = SampleReader.Read("1\n" + string.Join(mark, values));
                int leftOut = reading.Problems.Count(problem => problem.Severity != ProblemSeverity.Note);
                Assert.InRange(leftOut + reading.Count, values.Length + 1, values.Length + 3);
            },
            500);

    private static void AssertPlaces(string text)
    {
        SampleReading reading = SampleReader.Read(text);
        string[] lines = text.ReplaceLineEndings("\n").Split('\n');
        foreach (Problem problem in reading.Problems)
        {
            if (problem.Line is not { } line)
                continue;
            Assert.True(line >= 1 && problem.Column >= 1 && problem.Length >= 0, $"{problem} in\n{text}");
            if (!text.AsSpan().ContainsAny("\u0085\u2028\u2029\f\v"))
                Assert.True(line <= lines.Length && problem.Column + problem.Length <= lines[line - 1].Length + 1, $"{problem} in\n{text}");
        }

        var scan = new SampleScan(null);
        for (int at = 0; at < text.Length; at += 7)
            scan.Feed(text.AsSpan(at, Math.Min(7, text.Length - at)));
        AssertSame(reading, scan.Complete());
        Assert.All(reading.Seconds, value => Assert.True(value >= 0 && double.IsFinite(value)));
        Assert.True(reading.Sizes is null || reading.Sizes.Count == reading.Count);
        Assert.True(reading.Sizes is not null || reading.Problems.Any(problem => problem.Severity == ProblemSeverity.Error));
    }

    private static void AssertSame(SampleReading one, SampleReading other)
    {
        Assert.Equal(one.Seconds, other.Seconds);
        Assert.Equal(one.Counts, other.Counts);
        Assert.Equal(one.Problems, other.Problems);
    }

    private sealed class Listed(List<SampleProgress> list) : IProgress<SampleProgress>
    {
        public void Report(SampleProgress value) => list.Add(value);
    }
}
