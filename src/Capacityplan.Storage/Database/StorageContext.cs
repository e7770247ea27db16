using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace Capacityplan.Storage.Database;

/// <summary>
/// The tables. The two kinds of database have a context each, because a migration names the column types of one of them.
/// </summary>
internal abstract class StorageContext(DbContextOptions options) : DbContext(options)
{
    public DbSet<PlanRow> Plans => Set<PlanRow>();

    public DbSet<CatalogueRow> Catalogues => Set<CatalogueRow>();

    public DbSet<JobFileRow> JobFiles => Set<JobFileRow>();

    public DbSet<FactRow> Facts => Set<FactRow>();

    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder) =>
        configurationBuilder.Properties<DateTimeOffset>().HaveConversion<UtcTicks>();

    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        modelBuilder.ApplyConfiguration(new PlanShape());
        modelBuilder.ApplyConfiguration(new CatalogueShape());
        modelBuilder.ApplyConfiguration(new JobFileShape());
        modelBuilder.ApplyConfiguration(new FactShape());
    }

    /// <summary>Moments as ticks of UTC: SQLite has no type for them that sorts, and PostgreSQL's drops the last digit.</summary>
    private sealed class UtcTicks() : ValueConverter<DateTimeOffset, long>(
        moment => moment.UtcTicks, ticks => new DateTimeOffset(ticks, TimeSpan.Zero));

    private sealed class PlanShape : IEntityTypeConfiguration<PlanRow>
    {
        public void Configure(EntityTypeBuilder<PlanRow> builder)
        {
            builder.ToTable("Plans");
            builder.HasKey(plan => plan.Id);
            builder.Property(plan => plan.Id).ValueGeneratedNever();
            builder.HasIndex(plan => plan.UpdatedAt);
            builder.HasIndex(plan => plan.GraphFile);
        }
    }

    private sealed class CatalogueShape : IEntityTypeConfiguration<CatalogueRow>
    {
        public void Configure(EntityTypeBuilder<CatalogueRow> builder)
        {
            builder.ToTable("Catalogues");
            builder.HasKey(catalogue => catalogue.Id);
            builder.Property(catalogue => catalogue.Id).ValueGeneratedNever();
        }
    }

    private sealed class JobFileShape : IEntityTypeConfiguration<JobFileRow>
    {
        public void Configure(EntityTypeBuilder<JobFileRow> builder)
        {
            builder.ToTable("JobFiles");
            builder.HasKey(file => file.Key);
        }
    }

    private sealed class FactShape : IEntityTypeConfiguration<FactRow>
    {
        public void Configure(EntityTypeBuilder<FactRow> builder)
        {
            builder.ToTable("Facts");
            builder.HasKey(fact => fact.Key);
        }
    }
}

/// <summary>The tables in a SQLite file.</summary>
internal sealed class SqliteStorageContext(DbContextOptions<SqliteStorageContext> options) : StorageContext(options)
{
    /// <summary>For the migrations tool only; it never opens the file.</summary>
    public sealed class ForMigrations : IDesignTimeDbContextFactory<SqliteStorageContext>
    {
        public SqliteStorageContext CreateDbContext(string[] args) =>
            new(new DbContextOptionsBuilder<SqliteStorageContext>().UseSqlite("Data Source=:memory:").Options);
    }
}

/// <summary>The tables in a PostgreSQL database.</summary>
internal sealed class PostgresStorageContext(DbContextOptions<PostgresStorageContext> options) : StorageContext(options)
{
    /// <summary>For the migrations tool only; it never connects.</summary>
    public sealed class ForMigrations : IDesignTimeDbContextFactory<PostgresStorageContext>
    {
        public PostgresStorageContext CreateDbContext(string[] args) =>
            new(new DbContextOptionsBuilder<PostgresStorageContext>().UseNpgsql("Host=localhost").Options);
    }
}
