using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class TextEditTests
{
    [Theory]
    [InlineData("a b\nc d\ne", 2, 3, 1, "X", "a b\nc X\ne")]
    [InlineData("a b\r\nc d\r\ne", 2, 3, 1, "X", "a b\r\nc X\r\ne")]
    [InlineData("a b\rc d\re", 2, 3, 1, "X", "a b\rc X\re")]
    [InlineData("a\r\n\r\nb", 3, 1, 1, "long", "a\r\n\r\nlong")]
    [InlineData("8,,x", 1, 3, 0, "12", "8,12,x")]
    [InlineData("8", 1, 2, 0, "12 s", "8 12 s")]
    [InlineData("8 ", 1, 3, 0, "12 s", "8 12 s")]
    [InlineData("8\t", 1, 3, 0, "12 s", "8\t12 s")]
    [InlineData("x", 1, 1, 0, "8", "8 x")]
    [InlineData("", 1, 1, 0, "8", "8")]
    [InlineData("a\n", 2, 1, 0, "8", "a\n8")]
    [InlineData("8 cores", 1, 3, 5, "", "8 ")]
    public void Replace_PlaceInALine_ChangesNothingElse(string text, int line, int column, int length, string replacement, string expected) =>
        Assert.Equal(expected, TextEdit.Replace(text, new TextSpan(line, column, length), replacement));

    [Theory]
    [InlineData(0, 1, 0)]
    [InlineData(1, 0, 0)]
    [InlineData(1, 1, -1)]
    [InlineData(1, 1, 4)]
    [InlineData(1, 5, 0)]
    [InlineData(3, 1, 0)]
    [InlineData(1, int.MaxValue, int.MaxValue)]
    public void Replace_PlaceOutsideTheText_IsRefused(int line, int column, int length) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => TextEdit.Replace("abc\r\nd", new TextSpan(line, column, length), "x"));

    [Fact]
    public void Replace_ValueTheReaderNamed_IsReadAgainAsTheNewOne()
    {
        const string Text = "cores\ttime\r\n1\t\u001B[33m6h 28m\u001B[0m\r\n2\t3:16:40\r\n";
        var before = TimingsReader.Read(Text);

        var changed = TextEdit.Replace(Text, before.Timings[0].ValueAt, "6h 30m");

        Assert.Equal("cores\ttime\r\n1\t\u001B[33m6h 30m\u001B[0m\r\n2\t3:16:40\r\n", changed);
        Assert.Equal([23400, 11800], TimingsReader.Read(changed).Timings.Select(timing => timing.Timing.Seconds));
    }

    [Fact]
    public void Replace_MissingTimeTheReaderNamed_IsReadAsATiming()
    {
        const string Text = "cores   time\n8       58 min\n12      - killed by the backup";
        var problem = Assert.Single(TimingsReader.Read(Text).Problems);

        var changed = TextEdit.Replace(Text, new TextSpan(problem.Line!.Value, problem.Column!.Value, problem.Length), "41 min");

        var reading = TimingsReader.Read(changed);
        Assert.Empty(reading.Problems);
        Assert.Equal([(8, 3480.0), (12, 2460.0)], reading.Timings.Select(timing => (timing.Timing.Cores, timing.Timing.Seconds)));
    }
}
