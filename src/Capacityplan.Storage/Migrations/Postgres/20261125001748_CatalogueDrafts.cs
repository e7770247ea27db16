using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Capacityplan.Storage.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class CatalogueDrafts : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "Draft",
                table: "Catalogues",
                type: "text",
                nullable: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "Draft",
                table: "Catalogues");
        }
    }
}
